"""What is wrong or doubtful with a log, in sentences that say what to do."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LogProblem:
    kind: str
    """`not_text`, `no_numbers`, `decimal_comma`, `columns`, `swapped`, `units`, `rate`, `truncated`, `gaps`,
    `backwards`, `not_numeric`, `too_short`, `no_arc`, `polarity`, `coarse_time`, `coarse_rate` or `power`."""
    sentence: str
    blocks: bool = False
    """True where no figure can be given until it is settled."""


class LogError(ValueError):
    """The log cannot be read as it stands; `problem` says why and what to do."""

    def __init__(self, problem: LogProblem) -> None:
        super().__init__(problem.sentence)
        self.problem = problem


def refuse(kind: str, sentence: str) -> LogError:
    """The error that keeps a log from being read, with what to do in a sentence."""
    return LogError(LogProblem(kind, sentence, blocks=True))
