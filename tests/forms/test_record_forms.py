"""The entry forms of a record: built from the registry, keeping what was typed, saying how it was read."""

import pytest
from django.http import QueryDict
from django.template.loader import render_to_string

from qualification.forms.entries import NOT_APPLICABLE
from qualification.forms.field_links import field_of
from qualification.forms.record_forms import BUTTON, COUNT, SHOWN, RecordForms
from qualification.rules.editions.loader import edition
from qualification.rules.entries.entered_as import ENTERED_AS
from qualification.rules.variables.definition import PROCESSES, Level, RecordKind, ValueKind
from qualification.rules.variables.registry import registry, variables_for
from tests.shop_records import EDITION, SPEC_JOINT, SPEC_LINE

pytestmark = pytest.mark.django_db

SPEAKS = edition(EDITION).speaks

ODD = {
    "thickness_a": "6,35 mm ",
    "thickness_b": "same",
    "groove_angle": "steep",
    "base_metal_a": "6061-T6",
    "p_number_a": "P-23; 22",
    "weld_type": ["groove", "fillet"],
    "position": "flat",
    "joint_preparation": "sawn  & filed <b>",
    "diameter": "n/a",
}


def forms_of(
    joint: dict | None = None,
    lines: list | None = None,
    use: RecordKind = RecordKind.SPEC,
    units: str = "us",
    data: QueryDict | None = None,
) -> RecordForms:
    return RecordForms(use, units, EDITION, joint or {}, lines or [], data)


def posted(forms: RecordForms, **more: str) -> QueryDict:
    """What a browser would send back for these forms."""
    data = QueryDict(mutable=True)
    for _, form in forms.all_forms:
        for key in form.fields:
            for text in form.texts(key):
                data.appendlist(form[key].html_name, text)
    data[COUNT] = str(len(forms.lines))
    for name, value in more.items():
        data[name] = value
    return data


def field(forms: RecordForms, key: str, line: int | None = None) -> object:
    return dict(forms.all_forms)[line].fields[key]


def note(forms: RecordForms, key: str, line: int | None = None) -> str:
    return field(forms, key, line).note


@pytest.mark.parametrize("use", RecordKind)
@pytest.mark.parametrize("process", PROCESSES)
def test_a_form_has_a_field_for_every_variable_of_its_record_and_process(
    use: RecordKind, process: str
) -> None:
    forms = forms_of(lines=[{"process": process}], use=use)
    assert list(forms.joint_form.fields) == [v.key for v in variables_for(use, Level.JOINT, speaks=SPEAKS)]
    assert list(forms.lines[0].form.fields) == [
        v.key for v in variables_for(use, Level.LINE, process, SPEAKS)
    ]
    html = render_to_string("entries/_record.html", {"forms": forms})
    for _, form in forms.all_forms:
        for bound in form:
            ends = "." if bound.field.is_table else '"'
            assert f'name="{bound.html_name}{ends}' in html


def test_a_process_line_asks_nothing_of_other_processes() -> None:
    forms = forms_of(lines=[{"process": "SMAW"}])
    assert "shielding_gas" not in forms.lines[0].form.fields
    assert "tungsten_type" not in forms.lines[0].form.fields


def test_an_entry_of_another_process_stays_in_sight() -> None:
    forms = forms_of(lines=[{"process": "SMAW", "tungsten_type": "EWLa"}])
    assert forms.line_entries == [{"process": "SMAW", "tungsten_type": "EWLa"}]


@pytest.mark.parametrize("use", RecordKind)
def test_what_is_typed_comes_back_as_typed(use: RecordKind) -> None:
    joint = {key: value for key, value in ODD.items() if use in registry()[key].uses}
    if use not in registry()["weld_type"].many:
        joint["weld_type"] = "groove"
    lines = [{"process": "GMAW", "amps": " 140 - 160 A"}, {"process": "GTAW", "filler_used": "yes"}]
    stored = forms_of(joint, lines, use)
    again = forms_of(use=use, data=posted(stored))
    assert (
        (again.joint_entries, again.line_entries)
        == (stored.joint_entries, stored.line_entries)
        == (joint, lines)
    )


def test_a_blank_field_is_no_entry() -> None:
    data = QueryDict("joint-thickness_a=+&joint-weld_type=&line_count=1&line-0-process=GMAW&line-0-amps=")
    forms = forms_of(data=data)
    assert (forms.joint_entries, forms.line_entries) == ({}, [{"process": "GMAW"}])


def test_choices_stored_by_their_label_are_shown_as_chosen() -> None:
    forms = forms_of({"toughness_required": "No", "position": ["Flat", "vertical"], "weld_type": "N/A"})
    assert forms.joint_entries == {
        "toughness_required": "no",
        "position": ["flat", "vertical"],
        "weld_type": NOT_APPLICABLE,
    }


def test_a_choice_nobody_offers_is_kept_shown_and_said_to_be_none() -> None:
    forms = forms_of({"position": "sideways", "toughness_required": "perhaps"})
    assert forms.joint_entries == {"position": "sideways", "toughness_required": "perhaps"}
    html = render_to_string("entries/_record.html", {"forms": forms})
    assert "“perhaps”, not a choice" in html
    assert "Position: “sideways” is not one of the choices" in html


def test_numbers_are_said_back_in_both_unit_systems() -> None:
    forms = forms_of(
        {"thickness_a": "1/4", "preheat_min": "15 °C", "root_opening": "1/16-1/8"},
        [{"process": "GMAW", "wire_feed": "480 ipm"}],
    )
    assert note(forms, "thickness_a") == "1/4 in (6.35 mm)"
    assert note(forms, "preheat_min") == "59 °F (15 °C)"
    assert note(forms, "root_opening") == "1/16 to 1/8 in (1.59 to 3.18 mm)"
    assert note(forms, "wire_feed", 0) == "480 in/min (12.19 m/min)"


def test_a_bare_number_is_read_in_the_units_of_the_record() -> None:
    assert note(forms_of({"thickness_a": "6"}, units="si"), "thickness_a") == "6 mm (0.2362 in)"
    assert field(forms_of(units="si"), "thickness_a").unit == "mm"
    assert field(forms_of(), "thickness_a").unit == "in"


def test_gases_metals_and_fillers_are_said_back_by_what_they_are() -> None:
    forms = forms_of(
        {"base_metal_a": "6061-T6"},
        [{"process": "GMAW", "shielding_gas": "75Ar/25He", "filler_classification": "er5356"}],
    )
    assert note(forms, "base_metal_a") == "6061, temper T6: P-23"
    assert note(forms, "shielding_gas", 0) == "75 % Ar + 25 % He"
    assert note(forms, "filler_classification", 0) == "ER5356: F-22"


def test_same_on_side_b_is_said_back_as_side_a() -> None:
    forms = forms_of({"thickness_a": "1/4", "thickness_b": "same"})
    assert note(forms, "thickness_b") == "1/4 in (6.35 mm)"
    assert forms.joint_entries["thickness_b"] == "same"


def test_an_empty_field_shows_its_help() -> None:
    assert note(forms_of(), "base_metal_a") == registry()["base_metal_a"].help


def test_a_problem_stands_at_its_field_and_in_the_summary() -> None:
    forms = forms_of({"groove_angle": "steep"}, [{"process": "GMAW"}, {"process": "GTAW", "amps": "0"}])
    assert not forms.is_valid
    assert forms.joint_form.errors["groove_angle"] == [
        "Included angle: “steep” could not be read as a number with a unit. Write it like 60°."
    ]
    assert [field_id for field_id, _ in forms.problem_links] == ["id_joint-groove_angle", "id_line-1-amps"]
    html = render_to_string("entries/_record.html", {"forms": forms})
    assert 'aria-invalid="true"' in html
    assert "note--problem" in html


def test_contradictions_and_the_catalogue_speak_at_a_field_too() -> None:
    against = forms_of({"base_metal_a": "6061", "p_number_a": "P-1"})
    assert against.joint_form.errors
    deeper = forms_of(
        {"thickness_a": "1/4", "thickness_b": "1/4"}, [{"process": "GMAW", "deposit_thickness": "1/2"}]
    )
    assert "deposit_thickness" in deeper.lines[0].form.errors


def test_a_sound_record_has_no_problems() -> None:
    assert forms_of(SPEC_JOINT, [SPEC_LINE]).problems == ()


@pytest.mark.parametrize(
    ("button", "left"),
    [
        ("add:SMAW", ["GTAW", "GMAW", "SMAW"]),
        ("remove:0", ["GMAW"]),
        ("up:1", ["GMAW", "GTAW"]),
        ("down:0", ["GMAW", "GTAW"]),
        ("up:0", ["GTAW", "GMAW"]),
        ("remove:7", ["GTAW", "GMAW"]),
        ("add:TELEPATHY", ["GTAW", "GMAW"]),
        ("nonsense", ["GTAW", "GMAW"]),
    ],
)
def test_lines_are_added_removed_and_moved_and_keep_what_was_typed(button: str, left: list[str]) -> None:
    stored = forms_of(
        {"thickness_a": "1/4"}, [{"process": "GTAW", "amps": "90"}, {"process": "GMAW", "amps": "abc"}]
    )
    after = forms_of(data=posted(stored, **{BUTTON: button}))
    assert after.arranged
    assert [line.process for line in after.lines] == left
    kept = {line["process"]: line.get("amps") for line in after.line_entries}
    assert {p: a for p, a in {"GTAW": "90", "GMAW": "abc"}.items() if p in left}.items() <= kept.items()
    assert after.joint_entries == {"thickness_a": "1/4"}


@pytest.mark.parametrize("count", ["", "-1", "many", "99999999"])
def test_a_made_up_number_of_lines_does_no_harm(count: str) -> None:
    assert len(forms_of(data=QueryDict(f"line_count={count}")).lines) <= 20


def test_a_field_hides_once_another_entry_makes_it_meaningless() -> None:
    assert not field(forms_of(), "groove_type").hides
    assert not field(forms_of({"weld_type": "groove"}), "groove_type").hides
    fillet = forms_of({"weld_type": "fillet"})
    assert field(fillet, "groove_type").hides
    assert field(fillet, "groove_radius").hides, "what depends on a hidden field hides with it"
    assert not field(fillet, "fillet_size").hides
    assert not field(forms_of({"weld_type": ["groove", "fillet"]}), "fillet_size").hides


def test_a_field_that_holds_something_never_hides() -> None:
    assert not field(forms_of({"weld_type": "fillet", "groove_type": "v"}), "groove_type").hides


def test_only_fields_whose_showing_changed_are_put_into_an_open_page() -> None:
    stored = forms_of({"weld_type": "fillet"})
    shown = [
        f"id_joint-{k}"
        for k in stored.joint_form.fields
        if stored.joint_form.fields[k].depends and not stored.joint_form.fields[k].hides
    ]
    data = posted(stored)
    data.setlist(SHOWN, shown)
    assert forms_of(data=data).swapped == []
    data["joint-weld_type"] = "groove"
    changed = {bound.name for bound in forms_of(data=data).swapped}
    assert "groove_type" in changed
    assert "fillet_size" in changed
    assert "thickness_a" not in changed


def test_the_live_answer_never_puts_in_a_control_that_is_being_typed_in() -> None:
    data = QueryDict("joint-thickness_a=1/4&line_count=0", mutable=True)
    stored = forms_of(data=data)
    data.setlist(
        SHOWN,
        [
            bound.auto_id
            for _, form in stored.all_forms
            for bound in form
            if bound.field.depends and not bound.field.hides
        ],
    )
    html = render_to_string("entries/_live.html", {"forms": forms_of(data=data)})
    assert "<input" not in html
    assert "1/4 in (6.35 mm)" in html


def test_folded_fields_open_when_they_say_something() -> None:
    def folded(forms: RecordForms) -> str:
        html = render_to_string("entries/_record.html", {"forms": forms})
        return html[: html.index('name="joint-group_a"')].rsplit("<details", 1)[1]

    assert " open" not in folded(forms_of())
    assert " open" in folded(forms_of({"p_number_a": "P-23"}))
    wanted = forms_of()
    wanted.want({(None, "group_a")})
    assert " open" in folded(wanted)


def test_every_typed_choice_has_its_suggestions_on_the_page() -> None:
    html = render_to_string(
        "entries/_record.html", {"forms": forms_of(lines=[{"process": "SAW"}, {"process": "GMAW"}])}
    )
    for part in html.split(' list="')[1:]:
        assert f'<datalist id="{part.split(chr(34))[0]}">' in html
    assert html.count('<datalist id="suggest-metals">') == 1
    assert '<option value="ER5356"' in html


def test_a_finding_leads_to_the_field_it_was_entered_in() -> None:
    forms = forms_of(SPEC_JOINT, [SPEC_LINE])
    assert field_of(forms, "thickness_thinner", 0) == "id_joint-thickness_a"
    assert field_of(forms, "p_pair", 0) == "id_joint-base_metal_a"
    assert field_of(forms, "backed", 0) == "id_line-0-backing_0"
    assert field_of(forms, "amps", 0) == "id_line-0-amps"
    assert field_of(forms, "process", 0) == "line-0"
    assert field_of(forms, "layers", 0) == ""


def test_every_derived_variable_leads_somewhere() -> None:
    derived = {v.key for v in registry().values() if v.derived}
    assert derived <= set(ENTERED_AS)


def test_no_field_leaves_its_group_and_kinds_get_their_control() -> None:
    html = render_to_string("entries/_record.html", {"forms": forms_of(lines=[{"process": "GMAW"}])})
    assert html.count('type="checkbox" name="joint-position"') == len(registry()["position"].choices) + 1
    assert '<select name="joint-toughness_required"' in html
    assert registry()["amps"].kind is ValueKind.NUMBER
    assert 'type="text" name="line-0-amps"' in html
