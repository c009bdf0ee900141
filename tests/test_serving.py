"""Serving this machine, the network by HTTPS, and behind a server in front."""

from __future__ import annotations

import http.client
import os
import ssl
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from cryptography import x509
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from pytest_django import Settings
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import Shop
from tests.test_setup import free_port
from wps.demo.people import PASSWORD
from wps.local_files import time_zone
from wps.serving import ways
from wps.serving.certificates import authority_file, fingerprint, read_authority, server_files
from wps.serving.ways import CannotServe, ServerCommand, on_this_machine, port_of, to_the_network

NAMES = ["192.168.7.20", "shop-pc", "shop-pc.local", "localhost", "127.0.0.1"]
HANGING = 300
"""Seconds after which a server is given up; nothing here is measured by the clock."""


def names_in(certificate: Path) -> set[str]:
    read = x509.load_pem_x509_certificate(certificate.read_bytes())
    stated = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {str(each.value) for each in stated}


def test_the_servers_certificate_follows_its_names_and_phones_keep_the_authority(tmp_path: Path) -> None:
    first = server_files(tmp_path, "Tidewater", NAMES)
    assert not first.replaces_authority
    assert names_in(first.certificate) == set(NAMES)
    assert [file.stat().st_mode & 0o777 for file in tmp_path.glob("*.key")] == [0o600, 0o600]
    kept = first.certificate.read_bytes()
    assert not server_files(tmp_path, "Tidewater", NAMES).replaces_authority
    assert first.certificate.read_bytes() == kept
    moved = server_files(tmp_path, "Tidewater", ["192.168.7.21", *NAMES[1:]])
    assert not moved.replaces_authority
    assert "192.168.7.21" in names_in(moved.certificate)
    # Another name than those the authority is bound to needs a new one.
    assert server_files(tmp_path, "Tidewater", ["papers.tidewater.example"]).replaces_authority


def test_the_authority_vouches_for_local_names_alone(tmp_path: Path) -> None:
    server_files(tmp_path, "Tidewater", NAMES)
    authority = read_authority(tmp_path)
    assert authority is not None
    bound = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert bound.critical
    allowed = [each.value for each in bound.value.permitted_subtrees or []]
    assert "shop-pc" in allowed
    assert all(each.is_private for each in allowed if not isinstance(each, str))


def test_the_network_is_refused_while_a_demo_password_stands(
    db: None, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.HTTPS_DIR, settings.ALLOWED_HOSTS = tmp_path, ["localhost"]
    monkeypatch.setattr(ways, "own_addresses", lambda: ["127.0.1.1", "192.168.7.20"])
    hedda = User.objects.create_user("hedda", password=PASSWORD)
    with pytest.raises(CannotServe, match=r"\(hedda\).*under Shop, People"):
        to_the_network(8443, {})
    assert not authority_file(tmp_path).exists()
    hedda.set_password("nineteen gangway treads")
    hedda.save()
    way = to_the_network(8443, {"CTP_HOSTS": "papers.example"})
    assert way.address == "https://192.168.7.20:8443"
    assert way.environment["CTP_HOSTS"].startswith("papers.example,192.168.7.20")
    assert "--bind=0.0.0.0:8443" in way.command


def test_demo_passwords_are_warned_of_behind_a_server_in_front(
    db: None, settings: Settings, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("os.execve", lambda *command: None)
    User.objects.create_user("hedda", password=PASSWORD)
    for behind in (False, True):
        settings.BEHIND_PROXY = behind
        call_command("serve", port=str(free_port()))
        assert ("the demo passwords still open it (hedda)" in capsys.readouterr().err) is behind


def test_without_sharing_only_this_machine_is_served() -> None:
    way = on_this_machine(8000, {})
    assert "--listen=127.0.0.1:8000" in way.command
    assert not any("proxy" in each for each in way.command)


@pytest.mark.parametrize("text", ["eighty", "0", "65536", "٣"])
def test_a_port_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(CannotServe, match="Set it to a number from 1 to 65535"):
        port_of(text)


@contextmanager
def running(way: ServerCommand, data: Path, **environment: str) -> Iterator[None]:
    """In the end it is killed, and all that it started has to end with it: what holds the port would go on
    answering with an older program."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(("CTP_", "DATABASE_"))}
    root = Path(__file__).resolve().parent.parent
    served = subprocess.Popen(
        way.command,
        cwd=root,
        env={**own, **way.environment, "CTP_DATA": str(data), **environment},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    try:
        yield
    finally:
        served.kill()
        served.communicate(timeout=HANGING)  # until nobody is left who could write
    assert port_of(urlsplit(way.address).netloc.rpartition(":")[2])


def status_of(connection: http.client.HTTPConnection, host: str) -> int:
    """Of the page that proves the program, once the server is up."""
    for _ in range(HANGING):
        try:
            connection.request("GET", "/here/?q=1", headers={"Host": host})
            return connection.getresponse().status
        except (ConnectionRefusedError, ConnectionResetError):
            connection.close()
            time.sleep(0.5)
    raise AssertionError("the server did not come up")


def test_a_phone_that_trusts_the_authority_reaches_the_program_by_https(
    db: None, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.HTTPS_DIR = tmp_path
    monkeypatch.setattr(ways, "own_addresses", lambda: ["192.168.7.20"])
    port = free_port()
    with running(to_the_network(port, {}), tmp_path / "data"):
        trusting = ssl.create_default_context(cafile=str(authority_file(tmp_path)))
        phone = http.client.HTTPSConnection("127.0.0.1", port, context=trusting, timeout=HANGING)
        assert status_of(phone, f"192.168.7.20:{port}") == 200
        stranger = http.client.HTTPSConnection("127.0.0.1", port, timeout=HANGING)
        with pytest.raises(ssl.SSLCertVerificationError):
            stranger.request("GET", "/here/")


class Front(BaseHTTPRequestHandler):
    """A server in front, as far as it matters: it tells by which scheme, host and address it was reached."""

    behind = 0

    def do_GET(self) -> None:
        inner = http.client.HTTPConnection("127.0.0.1", self.behind, timeout=HANGING)
        told = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}
        inner.request("GET", self.path, headers={"Host": self.headers["Host"], **told})
        answer = inner.getresponse()
        body = answer.read()
        self.send_response(answer.status)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *args: object) -> None:
        """Say nothing."""


def test_behind_a_server_that_does_https_a_page_is_answered_and_not_sent_on_for_ever(
    settings: Settings, tmp_path: Path
) -> None:
    settings.BEHIND_PROXY = True
    port = free_port()
    front = ThreadingHTTPServer(("127.0.0.1", 0), type("Here", (Front,), {"behind": port}))
    threading.Thread(target=front.serve_forever, daemon=True).start()
    environment = {"CTP_HTTPS": "1", "CTP_HOSTS": "papers.example"}
    try:
        with running(on_this_machine(port, environment), tmp_path / "data", **environment):
            direct = http.client.HTTPConnection("127.0.0.1", port, timeout=HANGING)
            assert status_of(direct, "papers.example") == 301
            through = http.client.HTTPConnection("127.0.0.1", front.server_port, timeout=HANGING)
            assert status_of(through, "papers.example") == 200
    finally:
        front.shutdown()
        front.server_close()


def test_the_page_for_phones_says_how_and_shows_the_fingerprint(
    client: Client, shop: Shop, settings: Settings, tmp_path: Path
) -> None:
    settings.HTTPS_DIR, settings.SHARED_AT = tmp_path, ""
    assertContains(client.get("/phone/"), "./run --share")
    assert client.get("/phone/shop-network.crt").status_code == 404
    assert client.get("/phone/code.svg").status_code == 404
    server_files(tmp_path, "Tidewater", NAMES)
    settings.SHARED_AT = "https://192.168.7.20:8000"
    page = client.get("/phone/")
    assertContains(page, "Code for https://192.168.7.20:8000/phone/")
    assertContains(page, fingerprint(read_authority(tmp_path)))
    assertNotContains(page, "style=")
    assert b"<svg" in client.get("/phone/code.svg").content
    given = client.get("/phone/shop-network.crt")
    assert given["Content-Type"] == "application/x-x509-ca-cert"
    assert x509.load_der_x509_certificate(given.content) == read_authority(tmp_path)


def test_the_time_zone_is_that_of_the_machine_at_the_first_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tzlocal.get_localzone_name", lambda: "America/Chicago")
    assert time_zone(tmp_path / "time_zone") == "America/Chicago"
    monkeypatch.setattr("tzlocal.get_localzone_name", lambda: "Europe/Oslo")
    assert time_zone(tmp_path / "time_zone") == "America/Chicago"
    monkeypatch.setattr("tzlocal.get_localzone_name", lambda: None)
    assert time_zone(tmp_path / "other") == "UTC"
