"""Waveform files: brought, recognised, confirmed or corrected, worked through, drawn."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from qualification.forms import waveform as waveform_form
from qualification.models import LogState, Shop, Trial
from qualification.views import trial_logs
from qualification.waveforms import logs
from tests import waveforms
from tests.pages.trial_log_pages import bring, confirm, figure, text_of
from tests.trial_records import trial
from wps.background import tasks
from wps.models import BackgroundTask


@pytest.fixture
def made(author: User, shop: Shop) -> Trial:
    """A pulsed trial with a pass of 6 in in 18 s."""
    return trial(
        author, passes=1, line={"current_programme": "pulsed", "slow_frequency": "", "low_level": ""}
    )


def test_what_was_recognised_is_shown_before_anything_is_reckoned(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    words = text_of(author_client.get(log.get_absolute_url()))
    assert "“.” as decimal sign, 20000 readings per second (time column)." in words
    assert "2: Voltage (V)" in words
    assert "Confirm the columns and analyze" in words
    assert "Average instantaneous power" not in words
    assert log.state == LogState.UPLOADED


def test_confirmed_it_gives_the_known_truth(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    assert confirm(author_client, log).url == log.get_absolute_url()
    log.refresh_from_db()
    assert (log.state, log.message) == (LogState.DONE, "")
    assert figure(log, "mean_power") == pytest.approx(waveforms.POWER, rel=1e-3)
    assert figure(log, "product_of_means") == pytest.approx(waveforms.PRODUCT, rel=1e-3)
    words = text_of(author_client.get(log.get_absolute_url()))
    assert "The arc put in 19.7 ± " in words
    assert "% more than mean volts × mean amps says: 3696 W measured, 3087 W by the means." in words
    assert "Pulse frequency 100 Hz" in words
    assert "0.000000" not in words  # digits of floating-point sums are no uncertainty
    assert "Transfer mode declared: Pulsed spray" in words
    assert "Current program declared: Pulsed" in words
    assert words.count("Supports it") == 1
    # Two seconds do not tell pulsed from double-pulsed.
    assert "three swells of 1 Hz take 3 s, so this cannot be determined." in words
    # worked by us: 3696 W at 20 in/min (6 in in 18 s) is 11.1 kJ/in; the log holds 2 s of the 18
    basis = "Power of the log times the arc time of pass 1, by its length; the log holds 2 s of about 18 s."
    assert f"Measured energy per length {basis} 11.1 kJ/in (0.44 kJ/mm)" in words


def test_a_log_of_the_whole_pass_gives_energy_by_length(made: Trial, author_client: Client) -> None:
    weld_pass = made.passes.get()
    weld_pass.entries = {"pass_length": "1 in", "arc_time": "2 s"}
    weld_pass.save()
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    # worked by us: 3696 W for 2 s over 1 in is 7.4 kJ/in
    words = text_of(author_client.get(log.get_absolute_url()))
    basis = "Power of the log times the arc time of pass 1, by its length; the log holds 2 s of about 2 s."
    assert f"Measured energy per length {basis} 7.4 kJ/in" in words


def idle_csv(seconds: float = 2.0) -> bytes:
    """The pulsed log with half a second without an arc before and after, at 62 V."""
    rest = [f"{i / waveforms.RATE:.5f},62.0,0" for i in range(waveforms.RATE // 2)]
    lines = waveforms.pulsed_csv(seconds).decode().splitlines()
    shifted = [f"{float(t) + 0.5:.5f},{rest_of}" for t, rest_of in (line.split(",", 1) for line in lines[1:])]
    after = [f"{i / waveforms.RATE + 0.5 + seconds:.5f},62.0,0" for i in range(waveforms.RATE // 2)]
    return ("\n".join([lines[0], *rest, *shifted, *after]) + "\n").encode()


def test_a_log_with_both_ends_of_the_arc_needs_no_arc_time(made: Trial, author_client: Client) -> None:
    weld_pass = made.passes.get()
    weld_pass.entries = {"pass_length": "1 in"}
    weld_pass.save()
    log = bring(author_client, made, idle_csv())
    confirm(author_client, log)
    basis = "Energy of the log, which holds the whole of pass 1, by its length."
    assert f"Measured energy per length {basis} 7.4 kJ/in" in text_of(
        author_client.get(log.get_absolute_url())
    )


def test_a_part_of_a_pass_is_never_taken_for_the_whole(made: Trial, author_client: Client) -> None:
    """Three of eight seconds, and nothing says how long the pass took."""
    weld_pass = made.passes.get()
    weld_pass.entries = {"pass_length": "6 in"}
    weld_pass.save()
    log = bring(author_client, made, waveforms.pulsed_csv(3))
    confirm(author_client, log)
    words = text_of(author_client.get(log.get_absolute_url()))
    assert "Measured energy per length" not in words
    assert "Enter the arc time of pass 1 on the trial to get its energy per length." in words


def test_displays_that_the_log_does_not_bear_out_are_pointed_out(made: Trial, author_client: Client) -> None:
    """The log has 147 A and 21 V in the mean."""
    weld_pass = made.passes.get()
    weld_pass.entries = {"pass_length": "6 in", "arc_time": "18 s", "amps": "74", "volts": "22"}
    weld_pass.save()
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    doubt = "The mean current of the log is 147 A, pass 1 displayed 74 A: a factor of 2."
    assert doubt in text_of(author_client.get(log.get_absolute_url()))
    assert doubt in text_of(author_client.get(made.get_absolute_url()))


def test_a_log_longer_than_its_pass_puts_its_sample_rate_in_doubt(made: Trial, author_client: Client) -> None:
    weld_pass = made.passes.get()
    weld_pass.entries = {"pass_length": "1 in", "arc_time": "1 s"}
    weld_pass.save()
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    words = text_of(author_client.get(log.get_absolute_url()))
    assert "The log holds 2 s of arc, pass 1 lasted 1 s." in words
    assert "off by a factor of 2, or it is the log of more than this pass." in words


def test_without_a_pass_there_is_no_energy_per_length(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(), on_pass=False)
    confirm(author_client, log)
    assert "Measured energy per length" not in text_of(author_client.get(log.get_absolute_url()))


def test_a_log_that_speaks_against_what_was_declared_says_so(
    author: User, shop: Shop, author_client: Client
) -> None:
    made = trial(author, passes=1, line={"current_programme": "steady", "transfer_mode": "short_circuit"})
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    assert text_of(author_client.get(log.get_absolute_url())).count("Speaks against it") == 2
    made.line["current_programme"] = "pulsed"
    made.save()
    assert "were changed after this file was analyzed" in text_of(author_client.get(log.get_absolute_url()))


@pytest.mark.parametrize(
    ("amps", "words"),
    [
        (210.0, "above the 135 A"),
        (110.0, "below the 135 A"),
    ],
)
def test_spray_is_told_from_globular_by_the_wires_transition_current(
    amps: float, words: str, author: User, shop: Shop, author_client: Client
) -> None:
    """3/64 in 5356 in argon sprays from 135 A: MIG handbook, table 1-2 (esabna.com)."""
    made = trial(author, passes=1, line={"current_programme": "steady", "transfer_mode": "spray"})
    log = bring(author_client, made, waveforms.steady_csv(2, 24, amps))
    confirm(author_client, log)
    log.refresh_from_db()
    assert log.analysis is not None
    mode = next(each for each in log.analysis["evidence"] if each["variable"] == "transfer_mode")
    assert mode["stand"] == ("for" if amps > 135 else "against")
    assert words in mode["sentence"]


def test_swapped_columns_are_corrected_on_the_page(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(heading="Time (s),Current (A),Voltage (V)"))
    confirm(author_client, log, voltage="1", current="2")
    log.refresh_from_db()
    assert figure(log, "mean_amps") == pytest.approx(147, rel=1e-3)


def test_the_scale_of_a_clamp_is_asked_for(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(heading="Time (s),Voltage (V),Current (mV)"))
    words = text_of(author_client.get(log.get_absolute_url()))
    assert "the output of a clamp or shunt. State how many amperes stand for one mV." in words
    confirm(author_client, log, scale="0.5")
    log.refresh_from_db()
    assert log.state == LogState.DONE
    assert figure(log, "mean_amps") == pytest.approx(147 / 2, rel=1e-3)


def test_a_log_without_time_waits_for_its_rate(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(heading="Voltage (V),Current (A)", time=False))
    refused = confirm(author_client, log)
    assert refused.status_code == 422
    assert "State the readings per second." in text_of(refused)
    assert confirm(author_client, log, rate="20000").status_code == 302
    log.refresh_from_db()
    assert log.analysis is not None
    assert log.analysis["pulses"]["frequency"] == pytest.approx(100, rel=1e-3)


def test_a_column_taken_out_is_not_read(made: Trial, author_client: Client) -> None:
    """Without its time column the log takes the rate a person states."""
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log, time="none", rate="10000")
    log.refresh_from_db()
    assert log.analysis is not None
    assert log.analysis["pulses"]["frequency"] == pytest.approx(50, rel=1e-3)
    assert any(
        "Pulses come 50 times a second by the log, 120 times by the setting." in each
        for each in log.analysis["problems"]
    )


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"voltage": "2"}, "Current and Voltage both name column 3. Give each a column of its own."),
        (
            {"scale": "a lot"},
            "Amperes for one unit of the current column: enter a plain number above zero, such as 1.5.",
        ),
        ({"scale": "-1"}, "Amperes for one unit of the current column: enter a number above zero."),
        ({"volts_percent": "1"}, "State how far off both voltage and current may be, or neither."),
        ({"current": "7"}, "Current: there is no column “7”. Choose one of those listed."),
    ],
)
def test_a_slip_in_the_form_is_said(
    changes: dict[str, str], message: str, made: Trial, author_client: Client
) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    answer = confirm(author_client, log, **changes)
    assert answer.status_code == 422
    assert answer.content.decode().count(message.replace("'", "&#x27;")) == 2
    log.refresh_from_db()
    assert (log.state, log.settings) == (LogState.UPLOADED, {})


def test_errors_stated_of_the_instruments_take_the_place_of_the_usual_ones(
    made: Trial, author_client: Client
) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    log.refresh_from_db()
    without = log.analysis["figures"]["mean_power"]["uncertainty"]  # type: ignore[index]
    confirm(author_client, log, volts_percent="1", amps_percent="2")
    log.refresh_from_db()
    assert log.analysis["figures"]["mean_power"]["uncertainty"] < without  # type: ignore[index]
    assert "and the instruments' own error" in author_client.get(log.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\x00\x01\x02" * 200, "The file is not text"),
        (b"a,b\nno,numbers\nat,all\n", "No lines with two or more columns of numbers were found"),
        (
            b"Time (s),Voltage (V),Current (A)\n"
            + b"".join(b"%.4f,0.1,0\n" % (i / 20000) for i in range(30000)),
            "No arc was found",
        ),
    ],
)
def test_a_file_that_gives_no_figures_says_why(
    content: bytes, message: str, made: Trial, author_client: Client
) -> None:
    log = bring(author_client, made, content)
    answer = author_client.get(log.get_absolute_url())
    if answer.context.get("form") is not None:
        confirm(author_client, log)
        answer = author_client.get(log.get_absolute_url())
    assert "No figures yet" in text_of(answer)
    assert message in text_of(answer)
    assert author_client.get(made.get_absolute_url()).status_code == 200


def test_the_same_file_is_kept_once(made: Trial, author_client: Client) -> None:
    first, second = (bring(author_client, made, waveforms.pulsed_csv(0.6)) for _ in range(2))
    assert first == second


def test_no_file_is_said(made: Trial, author_client: Client) -> None:
    answer = author_client.post(reverse("trial_log_add", args=[made.pk]), {})
    assert answer.status_code == 422
    assert "Waveform file: none was chosen. Choose the CSV of the scope or logger." in answer.content.decode()


def test_a_large_file_goes_to_the_queue_and_the_page_waits(
    made: Trial, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trial_logs, "AT_ONCE_BYTES", 1000)
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    log.refresh_from_db()
    assert log.state == LogState.WAITING
    assert (BackgroundTask.objects.get().kind, BackgroundTask.objects.get().subject_id) == (
        "waveform",
        log.pk,
    )
    waiting = author_client.get(log.get_absolute_url(), headers={"HX-Request": "true"})
    assert "Queued for analysis." in waiting.content.decode()
    tasks.run_all()
    done = author_client.get(log.get_absolute_url(), headers={"HX-Request": "true"})
    assert done.headers["HX-Refresh"] == "true"
    assert "The arc put in 19.7" in text_of(author_client.get(log.get_absolute_url()))


def test_the_plot_shows_the_whole_or_a_part(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    plot = reverse("trial_log_plot", args=[made.pk, log.pk])
    for query, sentence in (
        ("", "to 1.999 s: "),
        ("?from=0.5&to=0.6", "From 0.5 s to 0.5999 s: "),
        ("?from=0,5&to=0,6", "From 0.5 s to 0.5999 s: "),
    ):
        page = author_client.get(log.get_absolute_url() + query).content.decode()
        drawn = author_client.get(plot + query)
        assert drawn.headers["Content-Type"] == "image/svg+xml"
        assert drawn.content.startswith(b"<svg")
        said = re.search(r"<desc>(.*?)</desc>", drawn.content.decode())
        assert said is not None
        assert f'alt="{said[1]}"' in page
        assert sentence in said[1]


@pytest.mark.parametrize(
    ("query", "message"),
    [
        (
            "?from=soon&to=later",
            "From “soon” to “later” are not two numbers. Enter seconds, such as 1.2 and 1.4.",
        ),
        ("?from=0&to=1e400", "From “0” to “1e400” are not two numbers."),
        ("?from=nan&to=1", "From “nan” to “1” are not two numbers."),
        ("?from=0.6&to=0.5", "From 0.6 to 0.5 runs backwards. Enter the earlier time first."),
        ("?from=50&to=60", "The log holds nothing from 50 to 60 seconds. It runs from"),
    ],
)
def test_a_part_that_is_not_there_is_said(
    query: str, message: str, made: Trial, author_client: Client
) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    assert message in text_of(author_client.get(log.get_absolute_url() + query))


def test_readings_that_went_missing_are_said(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log)
    log.refresh_from_db()
    logs.arrays_of(log).unlink()
    words = text_of(author_client.get(log.get_absolute_url() + "?from=0.5&to=0.6"))
    assert "The readings of this log are not kept beside it any more. Analyze it again." in words


def test_a_reader_reads_and_settles_nothing(
    made: Trial, author_client: Client, reader_client: Client
) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(0.6))
    assert "Confirm the columns and analyze" not in text_of(reader_client.get(log.get_absolute_url()))
    assert reader_client.post(reverse("trial_log_confirm", args=[made.pk, log.pk]), {}).status_code == 403
    assert reader_client.get(reverse("trial_log_add", args=[made.pk])).status_code == 403


def test_a_file_beyond_the_limit_is_refused(
    made: Trial, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(waveform_form, "MOST_BYTES", 100)
    answer = author_client.post(
        reverse("trial_log_add", args=[made.pk]),
        {"file": SimpleUploadedFile("scope.csv", waveforms.pulsed_csv(0.6))},
    )
    assert answer.status_code == 422
    assert "Choose a file of 1 GB or less, or cut it to the weld." in answer.content.decode()
