"""Under an ISO code its own names stand first: positions, metals, fillers, gases, and the record's name."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.codes.editions import default_edition
from qualification.forms.record_forms import RecordForms
from qualification.forms.suggestions import ISO_FIRST, suggestions
from qualification.models import Shop, State
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from tests.shop_records import procedure_test
from wps.documents.issue import words_of

STEEL, ALUMINIUM, BOILER = "iso_15614_1_2017_level2", "iso_15614_2_2005", "asme_ix_2023"
GROOVE = {"weld_type": "groove", "product_form": "plate"}


def positions(use: RecordKind, edition: str, key: str, entry: object) -> tuple[list[str], RecordForms]:
    forms = RecordForms(use, "si", edition, {**GROOVE, key: entry}, [{"process": "GMAW"}])  # type: ignore[dict-item]
    return [value for value, _ in forms.joint_form.fields[key].widget.choices], forms


@pytest.mark.parametrize(("use", "key"), [(RecordKind.TEST, "test_position"), (RecordKind.SPEC, "position")])
def test_positions_of_iso_6947_are_ticked_first_and_kept_as_ticked(
    use: RecordKind, key: str, db: None
) -> None:
    offered, forms = positions(use, STEEL, key, ["PA", "PF"])
    assert offered[:9] == ["PA", "PB", "PC", "PD", "PE", "PF", "PG", "PH", "PJ"]
    assert forms.joint_entries[key] == ["PA", "PF"]
    assert forms.problems == ()
    offered, forms = positions(use, BOILER, key, ["PA", "PF"])
    assert offered[0] in ("1G", "flat")
    assert forms.joint_entries[key] == ["PA", "PF"]  # what was typed elsewhere stays and is read
    assert forms.problems == ()


def test_names_of_iso_stand_first_in_the_lists_and_each_is_read() -> None:
    first = {each.key: each.options for each in suggestions(iso_first=True)}
    for key, names in ISO_FIRST.items():
        assert [value for value, _ in first[key][: len(names)]] == list(names)
    fields = {"metals": "base_metal_a", "fillers": "filler_classification", "gases": "shielding_gas"}
    for key, names in ISO_FIRST.items():
        for name in names:
            joint = {fields[key]: name} if key == "metals" else {}
            line = {"process": "GMAW", **({fields[key]: name} if key != "metals" else {})}
            found = read_weld(joint, [line], RecordKind.TEST, "si", speaks=frozenset({"iso", "iso_group"}))
            assert [problem.message for problem in found.problems] == [], name


def test_tests_of_procedures_and_of_welders_start_under_editions_of_their_own(
    author_client: Client, shop: Shop
) -> None:
    shop.code_edition = ALUMINIUM
    shop.save()
    assert (default_edition("procedure"), default_edition("welder")) == (ALUMINIUM, "iso_9606_2_2004")
    page = author_client.get(reverse("welder_test_add"))
    assert page.context["form"].fields["edition"].initial == "iso_9606_2_2004"
    assert ALUMINIUM not in dict(page.context["form"].fields["edition"].choices)
    page = author_client.get(reverse("procedure_test_add"))
    assert page.context["form"].fields["edition"].initial == ALUMINIUM
    assert "iso_9606_2_2004" not in dict(page.context["form"].fields["edition"].choices)
    shop.welder_edition = BOILER
    shop.save()
    assert (default_edition("procedure"), default_edition("welder")) == (ALUMINIUM, BOILER)


def test_the_record_of_a_procedure_test_bears_the_name_of_its_code(
    author_client: Client, author: User, shop: Shop
) -> None:
    for edition, short, name in (
        (STEEL, "WPQR", "Welding procedure qualification record"),
        (BOILER, "PQR", "Procedure qualification record"),
    ):
        made = procedure_test(author, f"PT-{short}", state=State.DRAFT, edition=edition)
        assertContains(author_client.get(made.get_absolute_url()), f"Procedure test ({short})")
        words = words_of(made)[1]
        assert (words["short_kind"], words["kind_words"]) == (short, name)
