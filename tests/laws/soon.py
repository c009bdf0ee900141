"""A law of work, which the program does not ask of itself."""

from __future__ import annotations

import copy
from random import Random

from qualification.rules.laws.documents import (
    Document,
    another,
    answer,
    ends,
    ranges_of,
    tests_places,
    typed,
    weld_places,
)
from qualification.rules.laws.laws import Broken
from qualification.rules.variables.definition import ValueKind
from tests.work import A_SECOND, calls_of


def soon(rng: Random, document: Document) -> Broken:
    """No question takes more than a second's work, however much is claimed at once."""
    wide = copy.deepcopy(document)
    for place in weld_places(wide):
        if (
            place.use in place.variable.many
            and place.variable.kind is ValueKind.CHOICE
            and place.key != "process"
        ):
            place.set([choice.key for choice in place.variable.choices])
        elif place.use in place.variable.many and place.variable.kind is ValueKind.NUMBER:
            found = ends(place.value, place.variable, wide["weld"]["units"])
            if found and place.variable.plausible:
                place.set(typed(place.variable, *place.variable.plausible))
    tests = wide["tests"]
    for number in range(30):
        test = copy.deepcopy(rng.choice(document["tests"])) | {"record": f"more {number}"}
        for place in rng.sample(tests_places(wide, test), 3):
            if place.key != "process":
                place.set(another(rng, wide, place))
        if ranges_of(wide, test) is not None:
            tests.append(test)
    if (calls := calls_of(lambda: answer(wide))) > A_SECOND:
        yield f"takes {calls:,} calls with {len(tests)} tests"
