"""Passwords, passphrases, codes and secret addresses stay out of logs, trail and whatever else is stored in
the open."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from qualification.models.audit import AuditEntry
from tests.shop_records import job
from wps.log_secrets import without_secrets
from wps.models import BackgroundTask
from wps.views import job_links

pytestmark = pytest.mark.usefixtures("shop")
PASSWORD, WRONG, PASSPHRASE = "a gangway of eleven metres", "not the gangway at all", "harbour crane lamp"


def test_nothing_secret_is_logged_or_told(
    author: User,
    signed_in: Callable[[User], Client],
    caplog: pytest.LogCaptureFixture,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    """Every act that takes or makes a secret, with the whole log at its most talkative."""
    caplog.set_level(logging.DEBUG)
    author.set_password(PASSWORD)
    author.save()
    visitor = Client(raise_request_exception=False)
    visitor.post("/sign-in/", {"username": author.username, "password": WRONG})
    visitor.post("/sign-in/", {"username": author.username, "password": PASSWORD})
    visitor.post("/certificate/make/", {"make-passphrase": PASSPHRASE, "make-again": PASSPHRASE})
    visitor.post("/to-sign/", {"all": "1", "passphrase": PASSPHRASE})
    page = visitor.post(
        f"/jobs/{job().pk}/links/", {"recipient": "Rask", "ends_on": timezone.localdate()}
    ).content.decode()
    link = page.partition("/shared/")[2].partition("/")[0]
    calendar = visitor.post("/lapses/address/").content.decode().partition("/lapses/")[2].partition(".ics")[0]
    assert min(len(link), len(calendar)) > 40
    visitor.get(f"/shared/{link}x/")
    visitor.get(f"/lapses/{calendar}x.ics")
    monkeypatch.setattr(job_links, "shared_of", lambda job: 1 / 0)
    assert visitor.get(f"/shared/{link}/").status_code == 500
    assert visitor.get(f"/lapses/{calendar}.ics").status_code == 200
    logged = "\n".join([*(logging.Formatter().format(each) for each in caplog.records), *capfd.readouterr()])
    assert "/shared/…" in logged
    trail = json.dumps(list(AuditEntry.objects.values()), default=str, ensure_ascii=False)
    told = trail + json.dumps(list(BackgroundTask.objects.values()), default=str)
    for secret in (PASSWORD, WRONG, PASSPHRASE, link, calendar):
        assert secret not in logged
        assert secret not in told


def test_only_the_secret_word_of_an_address_is_left_out() -> None:
    assert without_secrets("Not Found: /shared/Ab-9_x/papers/3.pdf") == "Not Found: /shared/…/papers/3.pdf"
    assert without_secrets("/lapses/Ab9.ics") == "/lapses/….ics"
    assert without_secrets("/first/9f3a/") == "/first/…/"
    assert without_secrets("/jobs/3/links/") == "/jobs/3/links/"
    assert without_secrets(500) == 500
