"""Every variable a weld can state is said something of, by process and side: no silence goes unnamed."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.core.findings import Provenance
from qualification.rules.editions.compare import METALS, SUBJECTS
from qualification.rules.editions.completeness import FOLLOWS, completeness
from qualification.rules.editions.edition_facts import EditionKind, edition_facts, kind_of
from qualification.rules.editions.loader import edition, editions, shipped_files
from qualification.rules.editions.sayings import Saying, Says
from qualification.rules.tabular.edition import ROOT
from qualification.rules.tabular.overlay import rows_of
from qualification.rules.variables.registry import registry
from tests.rules.readers.freedom_changes import without_each
from tests.rules.readers.ruled import RULED
from tests.rules.readers.silences import needlessly_named, unexplained
from tests.rules.write_edition_readmes import readme


def said(name: str) -> dict[tuple[str, str, Side], Saying]:
    return {(s.variable, s.process, s.side): s for side in completeness(edition(name)) for s in side.sayings}


@pytest.mark.parametrize("name", editions())
def test_no_edition_is_silent_without_saying_so(name: str) -> None:
    assert [f"{s.variable} ({s.process}, {s.side})" for s in unexplained(edition(name))] == []


@pytest.mark.parametrize("name", editions())
def test_nothing_is_named_as_left_out_that_a_row_speaks_of(name: str) -> None:
    assert needlessly_named(edition(name)) == ()


@pytest.mark.parametrize("name", RULED)
def test_each_variable_left_off_is_a_silence_again(name: str) -> None:
    made = edition(name)
    every = max(1, sum(len(row.variables) for row in made.more["free"].silent) // 12)
    for changed, variable in islice(without_each(made, "silent"), 0, None, every):
        assert {s.variable for s in unexplained(changed)} == {variable}


def test_whatever_follows_from_an_entry_is_told_with_it() -> None:
    """A derived variable that no entry leads to would leave its rows out of the table."""
    followed = {key for keys in FOLLOWS.values() for key in keys}
    derived = {key for key, variable in registry().items() if variable.derived}
    metals = {key for key, subject in SUBJECTS.items() if subject == METALS}
    # Worked out while a weld is judged; whether both sides are alike follows from the thicknesses.
    assert derived - followed - metals == {"same_thickness", "magnesium_most", "root_on_other_test"}
    assert followed <= derived


def test_the_table_says_what_limits_a_variable_and_where() -> None:
    d12 = said("aws_d1_2_2014")
    assert d12["transfer_mode", "GMAW", Side.WELDER].says is Says.LIMITED
    thickness = d12["thickness_a", "GMAW", Side.PROCEDURE]
    assert (thickness.says, thickness.through[0]) == (Says.LIMITED, "thickness_thinner")
    assert d12["hole_size", "GMAW", Side.WELDER].says is Says.NOT_ENCODED
    asme = said("asme_ix_2023")
    assert asme["groove_type", "GMAW", Side.PROCEDURE].says is Says.FREE
    assert asme["max_pass_thickness", "GMAW", Side.PROCEDURE].says is Says.CONDITION
    liner = asme["liner", "GMAW", Side.WELDER]
    assert (liner.says, liner.citations[0].clause) == (Says.NOT_NAMED, "QW-250, QW-350, QW-360")


def test_counts_add_up_to_every_pair_of_variable_and_process() -> None:
    for side in completeness(edition("iso_9606_2_2004")):
        assert sum(side.counts.values()) == len(side.sayings)
        assert set(side.counts) == set(Says)


@pytest.mark.parametrize("name", editions())
def test_the_readme_of_a_folder_says_what_its_tables_say(name: str) -> None:
    assert (ROOT / name / "README.md").read_text("utf-8") == readme(name), (
        "python -m tests.rules.write_edition_readmes writes it anew"
    )


def test_the_readme_counts_rows_and_says_what_is_not_encoded() -> None:
    text = readme("us_navy_248_rev_1")
    assert "| Procedure |" in text
    assert "## What is not encoded" in text
    (rows,) = [line for line in text.splitlines() if "stated on open pages" in line]
    found = [row for _, _, row in rows_of(shipped_files("us_navy_248_rev_1"))]
    published = sum(row["provenance"] == "published" for row in found)
    assert rows == (
        f"{len(found)} rows: {published} stated on open pages, {len(found) - published} from memory."
    )


def test_an_edition_says_on_what_it_rests() -> None:
    made = edition("aws_d1_2_2014")
    assert edition_facts(made, shipped_files(made.id)).kind is EditionKind.MEMORY
    without = replace(made, procedure=(), welder=())
    assert edition_facts(without, {}).kind is EditionKind.CONTENT
    published = replace(made.procedure[0].citation, provenance=Provenance.PUBLISHED)
    open_pages = replace(made, procedure=(replace(made.procedure[0], citation=published),), welder=())
    assert edition_facts(open_pages, {}).kind is EditionKind.OPEN_PAGES


def test_what_the_shop_wrote_is_not_said_to_stand_on_open_pages() -> None:
    made = edition("aws_d1_2_2014")

    def resting_on(*provenances: Provenance) -> EditionKind:
        rows = tuple(
            replace(row, citation=replace(row.citation, provenance=provenance))
            for row, provenance in zip(made.procedure, provenances, strict=False)
        )
        return kind_of(replace(made, procedure=rows, welder=()))

    page, memory, shop = Provenance.PUBLISHED, Provenance.MEMORY, Provenance.SHOP
    assert resting_on(shop) is EditionKind.SHOP
    assert resting_on(shop, page) is EditionKind.OPEN_PAGES
    assert resting_on(shop, shop, page) is EditionKind.SHOP
    assert resting_on(shop, memory) is EditionKind.SHOP
    assert resting_on(shop, memory, memory) is EditionKind.MEMORY
    assert resting_on(page, memory) is EditionKind.OPEN_PAGES
