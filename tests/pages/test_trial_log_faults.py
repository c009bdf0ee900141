"""Waveform files that loggers spoil, and files that are replaced, removed or gone."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from qualification.models import LogState, Shop, Trial, TrialLog
from qualification.waveforms import logs
from tests import waveforms
from tests.pages.trial_log_pages import bring, confirm, figure, text_of
from tests.trial_records import trial


@pytest.fixture
def made(author: User, shop: Shop) -> Trial:
    """A pulsed trial with a pass of 6 in in 18 s."""
    return trial(
        author, passes=1, line={"current_programme": "pulsed", "slow_frequency": "", "low_level": ""}
    )


def with_reading(code: str, first: int, count: int) -> bytes:
    """The pulsed log with `code` for the current of `count` readings."""
    lines = waveforms.pulsed_csv().decode().splitlines()
    for at in range(first, first + count):
        lines[at] = f"{lines[at].rsplit(',', 1)[0]},{code}"
    return ("\n".join(lines) + "\n").encode()


@pytest.mark.parametrize(
    ("code", "count", "said"),
    [
        ("9.9E+37", 2, "hold no reading"),
        ("Inf", 1, "holds no reading"),
        ("NaN", 3000, "What was not recorded is taken to be like the rest"),
        ("9.9E+37", 300, "The range of an instrument was exceeded"),
    ],
)
def test_no_code_of_a_logger_keeps_a_page_from_being_shown(
    code: str, count: int, said: str, made: Trial, author_client: Client
) -> None:
    log = bring(author_client, made, with_reading(code, 10_000, count))
    assert confirm(author_client, log).status_code == 302
    log.refresh_from_db()
    assert log.state == LogState.DONE
    assert said in text_of(author_client.get(log.get_absolute_url()))
    assert author_client.get(made.get_absolute_url()).status_code == 200
    assert author_client.get(reverse("trial_log_plot", args=[made.pk, log.pk])).status_code == 200


def test_what_no_one_thought_of_is_said_and_can_be_mended(
    made: Trial, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise ZeroDivisionError

    log = bring(author_client, made, waveforms.pulsed_csv(0.6))
    with monkeypatch.context() as broken:
        broken.setattr(logs, "analyse", fails)
        confirm(author_client, log)
    log.refresh_from_db()
    assert log.state == LogState.FAILED
    assert "Choose other columns below, or replace the file" in text_of(
        author_client.get(log.get_absolute_url())
    )
    confirm(author_client, log)
    log.refresh_from_db()
    assert log.state == LogState.DONE


def test_a_file_is_replaced_on_its_pass(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(0.6))
    kept = log.file.path
    answer = author_client.post(
        reverse("trial_log_replace", args=[made.pk, log.pk]),
        {"file": SimpleUploadedFile("second.csv", waveforms.pulsed_csv(0.8))},
    )
    new = TrialLog.objects.get()
    assert answer.url == new.get_absolute_url()
    assert (new.filename, new.weld_pass, new.pk != log.pk) == ("second.csv", log.weld_pass, True)
    assert kept != new.file.path
    words = text_of(author_client.get(made.get_absolute_url()))
    assert "removed a waveform file of it" in words


def test_a_file_is_removed(made: Trial, author_client: Client, reader_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(0.6))
    confirm(author_client, log)
    address = reverse("trial_log_remove", args=[made.pk, log.pk])
    assert reader_client.post(address).status_code == 403
    assert author_client.get(address).status_code == 405
    assert author_client.post(address).url == made.get_absolute_url()
    assert not TrialLog.objects.exists()
    assert "Measured energy per length" not in text_of(author_client.get(made.get_absolute_url()))


def test_a_file_is_not_replaced_by_none(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(0.6))
    answer = author_client.post(reverse("trial_log_replace", args=[made.pk, log.pk]), {})
    assert answer.status_code == 422
    assert "Waveform file: none was chosen." in text_of(answer)
    assert TrialLog.objects.get() == log


def test_a_file_that_is_gone_is_said(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv(0.6))
    Path(log.file.path).unlink()
    answer = author_client.get(log.get_absolute_url())
    assert answer.status_code == 200
    assert "is not where it was kept. Replace it below." in text_of(answer)


def test_the_factor_of_a_probe_is_settled_on_the_page(made: Trial, author_client: Client) -> None:
    log = bring(author_client, made, waveforms.pulsed_csv())
    confirm(author_client, log, voltage_scale="10")
    log.refresh_from_db()
    assert figure(log, "mean_volts") == pytest.approx(210, rel=1e-3)
    assert any("no arc has" in each or "an arc has" in each for each in log.analysis["problems"])  # type: ignore[index]
