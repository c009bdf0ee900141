"""A shop's checks: a confirmed row says so, a corrected row judges by the correction, a changed row drops the
check."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.core.findings import Provenance
from qualification.rules.editions.loader import build, edition, edition_checked, editions, shipped_files
from qualification.rules.tabular.edition import ROOT, read_files
from qualification.rules.tabular.overlay import TableVerification, hash_of, laid_over, leaves_of, rows_of
from qualification.rules.tabular.schema import TableError

NAME = "asme_ix_2023"


def _row(variable: str) -> tuple[str, tuple[str | int, ...], Any]:
    files = read_files(ROOT / NAME)
    return next(
        (f, p, r) for f, p, r in rows_of(files) if f == "procedure.toml" and r.get("variable") == variable
    )


def _check(variable: str, **changes: Any) -> TableVerification:
    file, path, row = _row(variable)
    settings = {
        "row_hash": hash_of(row),
        "person": "Tobias Quell",
        "day": date(2031, 4, 2),
        "copy": "2023 edition, copy 7",
        **changes,
    }
    return TableVerification(file=file, path=path, **settings)


def test_every_row_that_carries_a_clause_can_be_checked() -> None:
    for name in editions():
        files = read_files(ROOT / name)
        assert len({(file, path) for file, path, _ in rows_of(files)}) == sum(1 for _ in rows_of(files)) > 0


def test_a_confirmed_row_cites_the_shop_and_who_checked_it() -> None:
    made, stale = edition_checked(NAME, [_check("preheat_min")])
    row = next(r for r in made.procedure if r.variable == "preheat_min")
    assert stale == ()
    assert row.citation.provenance is Provenance.SHOP
    assert "Confirmed by Tobias Quell on 2031-04-02 against 2023 edition, copy 7." in row.citation.remark
    assert made.fingerprint != edition(NAME).fingerprint


def test_a_corrected_number_is_the_number_judged_by() -> None:
    path = ("with", "allowance", "us")
    made, _ = edition_checked(NAME, [_check("preheat_min", changes={path: "50 °F"})])
    row = next(r for r in made.procedure if r.variable == "preheat_min")
    assert row.params["allowance"].us == Decimal(50)
    assert row.citation.remark.startswith("Corrected by Tobias Quell")
    assert row.citation.sources == (), "the pages that state the shipped number do not state this one"


def test_the_shipped_edition_stays_as_it_is() -> None:
    edition_checked(NAME, [_check("preheat_min", changes={("with", "allowance", "us"): "50 °F"})])
    assert next(r for r in edition(NAME).procedure if r.variable == "preheat_min").params[
        "allowance"
    ].us == Decimal(100)


def test_a_check_of_a_row_that_has_changed_since_is_stale_and_has_no_effect() -> None:
    old = _check("preheat_min", row_hash="0" * 64)
    made, stale = edition_checked(NAME, [old])
    assert stale == (old,)
    assert (
        next(r for r in made.procedure if r.variable == "preheat_min").citation.provenance
        is not Provenance.SHOP
    )


def test_the_last_of_several_checks_counts() -> None:
    first = _check("preheat_min", changes={("with", "allowance", "us"): "50 °F"})
    files, _ = laid_over(read_files(ROOT / NAME), [first, _check("preheat_min")])
    assert next(
        r for r in build(NAME, files, with_checks=True).procedure if r.variable == "preheat_min"
    ).params["allowance"].us == Decimal(100)


def test_a_correction_that_spoils_the_table_is_refused_by_file_and_row() -> None:
    with pytest.raises(TableError, match=r"procedure\.toml, row \d+ \(QW-406\.1\)"):
        edition_checked(NAME, [_check("preheat_min", changes={("with", "allowance", "us"): "a lot"})])


def test_a_correction_of_a_value_the_row_does_not_have_is_refused() -> None:
    with pytest.raises(TableError, match="there is no value with.factor to correct"):
        edition_checked(NAME, [_check("preheat_min", changes={("with", "factor"): Decimal(2)})])


def test_a_rows_values_are_listed_for_correction() -> None:
    _, _, row = _row("preheat_min")
    assert dict(leaves_of(row))[("with", "allowance", "si")] == "55 °C"


@pytest.mark.parametrize("name", editions())
def test_no_shipped_row_claims_a_shop_checked_it(name: str) -> None:
    assert all(row["provenance"] in ("published", "memory") for _, _, row in rows_of(shipped_files(name)))
