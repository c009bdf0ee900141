"""The designation string of a welder's test by ISO 9606-1 (steel) and ISO 9606-2 (aluminium).

`ISO 9606-2 131 P FW 22 S t10 PB ml`: standard, process (ISO 4063), product, kind of weld, group of the filler
(steel) or of the metal (aluminium), filler type, thickness in mm (`s` of the deposit, `t` of the metal),
outside diameter of a pipe in mm, position (ISO 6947), details. The order is that of clause 11 of part 1 and
clause 10 of part 2.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

STEEL, ALUMINIUM = "ISO 9606-1", "ISO 9606-2"
STANDARDS = (STEEL, ALUMINIUM)
PROCESSES = {
    STEEL: ("111", "114", "121", "125", "131", "132", "133", "135", "136", "138", "141", "143", "145"),
    ALUMINIUM: ("131", "141", "142"),
}
"""Processes of strings; for steel without 142, of which the notes do not say what stands for the filler
group."""
COVERINGS = ("A", "RA", "RB", "RC", "RR", "R", "B", "C")
CORES = ("R", "P", "B", "V", "W", "Y", "Z")
CORED = ("114", "132", "136")
FILLER_TYPES: dict[str, tuple[str, ...]] = {
    "111": COVERINGS,
    **dict.fromkeys(CORED, CORES),
    **dict.fromkeys(("125", "133", "138", "143"), ("M",)),
    "142": ("nm",),
}
"""Filler types by process; a process that is not named takes a solid wire or rod (S). `nm` is no filler."""
POSITIONS = {
    ("BW", "P"): ("PA", "PC", "PE", "PF", "PG"),
    ("FW", "P"): ("PA", "PB", "PD", "PF", "PG"),
    ("BW", "T"): ("PA", "PC", "PH", "PJ", "H-L045", "J-L045"),
    ("FW", "T"): ("PA", "PB", "PD", "PH", "PJ"),
}
"""Positions of a coupon that a record here can hold, by kind of weld and product."""
OLD_PIPE_NAMES = {"PF": "PH", "PG": "PJ"}
"""What ISO 6947 called a fixed pipe before 2011, and ISO 9606-2:2004 with it."""


@dataclass(frozen=True)
class Designation:
    """One test piece of one process, as its string says it."""

    standard: str
    process: str
    product: str
    """`P` plate, `T` pipe."""
    weld: str
    """`BW` butt weld, `FW` fillet weld."""
    group: str
    """Filler group (`FM1`) for steel; main group of the metal, or two of them (`22/23`), for aluminium."""
    filler: str
    thickness_of: str
    """`s` of the deposit, `t` of the metal."""
    thickness: Decimal
    """In mm."""
    diameter: Decimal | None
    """In mm; of a pipe only."""
    position: str
    """By ISO 6947 as it stands now, also where the standard's own name is older."""
    details: str
    transfer: str = ""
    """`D`, `G`, `S` or `P` where the string says it. It is no part of the designation; some certificates
    write it."""

    @property
    def text(self) -> str:
        """The string, with decimal points."""
        process = f"{self.process}-{self.transfer}" if self.transfer else self.process
        diameter = "" if self.diameter is None else f"D{plain(self.diameter)}"
        parts = (
            self.standard,
            process,
            self.product,
            self.weld,
            self.group,
            self.filler,
            f"{self.thickness_of}{plain(self.thickness)}",
            diameter,
            self._position_name,
            self.details,
        )
        return " ".join(part for part in parts if part)

    @property
    def _position_name(self) -> str:
        if self.standard != ALUMINIUM:
            return self.position
        return {now: old for old, now in OLD_PIPE_NAMES.items()}.get(self.position, self.position)


def plain(number: Decimal) -> str:
    """`10`, `1.5`: without needless zeros and without an exponent."""
    return f"{number:f}".rstrip("0").rstrip(".") if number % 1 else f"{number:.0f}"
