"""From trials to drafts: a procedure test, a preliminary WPS, a WPS from a window; every number keeps its
way back."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import Origin, ProcedureTest, Shop, State, Trial
from qualification.records import workflow
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from qualification.trials.entries import taken_for
from tests.pages.trial_log_pages import confirm
from tests.shop_records import procedure_test
from tests.trial_records import trial, weld_pass
from tests.waveforms import pulsed_csv
from wps.models import Spec


@pytest.fixture
def made(author: User, shop: Shop) -> Trial:
    """An accepted trial of two passes."""
    made = trial(author, verdict="accepted", line={"seen_wetting": "good"})
    weld_pass(made, 1)
    weld_pass(made, 2, arc_time="20 s", amps="165", volts="22.4")
    return made


def to_test(client: Client, of: Trial) -> ProcedureTest:
    answer = client.post(reverse("trial_to_test", args=[of.pk]))
    test = ProcedureTest.objects.latest("pk")
    assert answer.url == reverse("procedure_test_edit", args=[test.pk])
    return test


def test_a_procedure_tests_actuals_are_settings_and_readings(made: Trial, author_client: Client) -> None:
    test = to_test(author_client, made)
    assert (test.number, test.state, test.welded_on, test.units) == (
        "PT-001",
        State.DRAFT,
        made.welded_on,
        "us",
    )
    (line,) = test.lines
    assert (line["amps"], line["volts"]) == ("150 to 165 A", "21.5 to 22.4 V")
    # worked by us: 6 in in 18 s and in 20 s are 20 and 18 in/min
    assert line["travel_speed"] == "18 to 20 in/min"
    assert line["cleaning"] == "Wiped with solvent, then left to dry, then stainless brush by hand"
    assert line["wire_feed"] == "430"
    assert test.joint["test_position"] == "3G"
    assert not {"seen_wetting", "contact_tip", "preparation_1"} & {*line, *test.joint}
    assert "heat_input" not in line  # displays do not tell the energy of a pulsed arc
    assert test.passes == [
        {
            "pass": "1",
            "process": "GMAW",
            "amps": "150 to 158 A",
            "volts": "21.5 V",
            "travel_speed": "20 in/min",
        },
        {"pass": "2", "process": "GMAW", "amps": "165 A", "volts": "22.4 V", "travel_speed": "18 in/min"},
    ]


@pytest.mark.parametrize("use", [RecordKind.TEST, RecordKind.SPEC])
def test_what_is_taken_over_can_be_read_and_belongs_on_the_record(use: RecordKind, made: Trial) -> None:
    taken = taken_for(made, use)
    assert {each.variable for each in taken} <= {
        key for key, v in registry().items() if use in v.uses and not v.derived
    }
    joint = {each.variable: each.entry for each in taken if each.line is None}
    line = {each.variable: each.entry for each in taken if each.line is not None}
    assert read_weld(joint, [line], use, made.units).problems == ()


def test_a_measured_waveform_gives_the_heat_input(made: Trial, author_client: Client) -> None:
    weld_pass(made, 3, arc_time="2 s", pass_length="1 in")
    data_of = made.passes.get(position=3)
    log = bring_on(author_client, made, data_of.pk)
    confirm(author_client, log)
    (line,) = to_test(author_client, made).lines
    # worked by us: 3696 W for 2 s over 1 in
    assert (line["heat_input"], line["heat_input_measure"]) == ("7.39 kJ/in", "energy")
    origin = Origin.objects.get(variable="heat_input")
    assert origin.reading == "measured energy by length of weld, from scope.csv"


def bring_on(client: Client, of: Trial, pass_id: int) -> object:
    from django.core.files.uploadedfile import SimpleUploadedFile

    from qualification.models import TrialLog

    client.post(
        reverse("trial_log_add", args=[of.pk]),
        {"file": SimpleUploadedFile("scope.csv", pulsed_csv()), "weld_pass": str(pass_id)},
    )
    return TrialLog.objects.latest("pk")


def test_a_code_that_asks_for_means_gets_them(author: User, author_client: Client, shop: Shop) -> None:
    made = trial(author, edition="aws_d1_2_2014")
    for position, amps in enumerate(("150", "156", "165"), start=1):
        weld_pass(made, position, amps=amps)
    (line,) = to_test(author_client, made).lines
    assert (line["amps"], line["amps_mean"], line["volts_mean"]) == ("150 to 165 A", "157 A", "21.5 V")
    weld_pass(made, 4, amps="150-158")  # a reading that swung has no mean anybody knows
    assert "amps_mean" not in to_test(author_client, made).lines[0]


def test_every_number_keeps_its_way_back(made: Trial, author_client: Client) -> None:
    test = to_test(author_client, made)
    html = author_client.get(test.get_absolute_url()).content.decode()
    assert "Numbers that came from trials" in html
    assert "Current: 150 to 165 A" in html
    assert "T-001, as the display showed it over 2 passes" in html
    test.lines[0]["amps"] = "150 to 170 A"
    test.save()
    assert "; the record now says 150 to 170 A" in author_client.get(test.get_absolute_url()).content.decode()
    assert f"{test} Gangway deck" in author_client.get(made.get_absolute_url()).content.decode()


@pytest.mark.parametrize("name", ["trial_to_test", "procedure_from_trial", "procedure_from_window"])
def test_no_entry_of_a_draft_is_without_its_way_back(name: str, made: Trial, author_client: Client) -> None:
    author_client.post(reverse(name, args=[made.pk]))
    kind = ProcedureTest if name == "trial_to_test" else Spec
    draft = kind.objects.get()
    entries = {(None, key) for key, entry in draft.joint.items() if entry}
    entries |= {(at, key) for at, line in enumerate(draft.lines) for key, entry in line.items() if entry}
    origins = Origin.objects.filter(record_kind=draft.KIND, record_id=draft.pk)
    assert {(each.line, each.variable) for each in origins} == entries
    assert len(entries) > 20
    assert all(each.reading and list(each.trials.all()) == [made] for each in origins)


def test_a_preliminary_wps(made: Trial, author_client: Client) -> None:
    answer = author_client.post(reverse("procedure_from_trial", args=[made.pk]))
    spec = Spec.objects.get()
    assert answer.url == reverse("procedure_edit", args=[spec.pk])
    assert (spec.title, spec.state) == ("Preliminary: Gangway deck", State.DRAFT)
    assert spec.lines[0]["amps"] == "150 to 165 A"
    assert "position" not in spec.joint  # nobody stated in which positions it may be welded
    html = author_client.get(spec.get_absolute_url()).content.decode()
    assert f'<a class="mono" href="{made.get_absolute_url()}">T-001</a>' in html
    assert "Procedures made from it" in author_client.get(made.get_absolute_url()).content.decode()


def test_the_way_back_outlives_a_revision(
    made: Trial, author: User, approver: User, author_client: Client
) -> None:
    author_client.post(reverse("procedure_from_trial", args=[made.pk]))
    spec = Spec.objects.get()
    workflow.apply("set_aside", spec, author, "Number was wrong")
    later = workflow.start_revision(spec, author, "Once more")
    assert "Numbers that came from trials" in author_client.get(later.get_absolute_url()).content.decode()


def test_a_window_becomes_a_draft_whose_ranges_name_their_trials(
    made: Trial, author: User, author_client: Client
) -> None:
    second = trial(author, "T-002", verdict="accepted", line={"wire_feed": "445"})
    weld_pass(second, 1, amps="162")
    test = procedure_test(author)
    author_client.post(reverse("procedure_from_window", args=[made.pk]), {"test": str(test.pk)})
    spec = Spec.objects.get()
    assert (spec.lines[0]["wire_feed"], spec.lines[0]["amps"]) == ("430 to 445 in/min", "150 to 165 A")
    assert list(spec.tests.all()) == [test]
    origin = Origin.objects.get(variable="wire_feed")
    assert {str(each) for each in origin.trials.all()} == {"T-001", "T-002"}
    assert origin.reading == "2 readings of 2 accepted trials, within what PT-014 rev 0 qualifies"
    assert [str(each) for each in Origin.objects.get(variable="base_metal_a").trials.all()] == ["T-001"]


def test_an_empty_window_becomes_nothing(author: User, author_client: Client, shop: Shop) -> None:
    made = trial(author)
    answer = author_client.post(
        reverse("procedure_from_window", args=[made.pk]), {"test": "no number"}, follow=True
    )
    assert "The window is empty: no accepted trial has this set-up." in answer.content.decode()
    assert not Spec.objects.exists()


def test_a_reader_promotes_nothing(made: Trial, reader_client: Client) -> None:
    for name in ("trial_to_test", "procedure_from_trial", "procedure_from_window"):
        assert reader_client.post(reverse(name, args=[made.pk])).status_code == 403
    assert "What it can become" not in reader_client.get(made.get_absolute_url()).content.decode()
