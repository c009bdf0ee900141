"""The address under which others reach this program: what codes on paper lead to, and what certificates name.

It is the shop's own entry, checked when it is made; whoever runs the server may set it for good instead
(`CTP_ADDRESS`).
"""

from __future__ import annotations

import ipaddress
import secrets
import socket
import ssl
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from urllib.error import URLError
from urllib.parse import quote, urlsplit
from urllib.request import Request, urlopen

from django.conf import settings
from django.core.signing import Signer
from django.http import HttpRequest
from django.urls import reverse
from django.utils.crypto import constant_time_compare

from qualification.models.shop import Shop

LONGEST_QUESTION = 64
SECONDS = 3.0
"""How long an address may take to answer."""
SECONDS_OFFERED = 0.7
"""The same for those that are only offered."""
ELSEWHERE = ("192.0.2.1", 9)
"""An address of no network (RFC 5737): asked which way it would go, the system names its own address; nothing
is sent."""


def server_address() -> str:
    """The address without a slash at its end; empty while there is none."""
    return settings.ADDRESS or Shop.current().server_address.rstrip("/")


def problem_with(address: str) -> str:
    """Why codes cannot lead to the address, and what to do; empty when they can."""
    parts = urlsplit(address)
    try:
        host, _ = parts.hostname or "", parts.port
    except ValueError:
        return f"{address} has no port that can be read. Write it like https://welding.firm.example."
    if parts.scheme not in ("http", "https") or not host:
        return f"{address} is no full address. Write it like https://welding.firm.example."
    if parts.path.strip("/") or parts.query or parts.fragment or parts.username:
        return f"{address} has more than scheme, name and port. Leave out what stands behind them."
    if _is_this_machine_only(host):
        return (
            f"{host} is this machine's name for itself: a phone that scans a paper would look on the phone."
            " Enter the address other machines use."
        )
    return ""


def problem_with_service(address: str) -> str:
    """Why this machine does not ask another one under the address, and what to do; empty when it does. Under
    link-local addresses machines of a computing center answer with secrets of their own."""
    parts = urlsplit(address)
    if parts.scheme not in ("http", "https"):
        return "begins with neither http:// nor https://. Write it like https://time.firm.example/tsr."
    if "@" in parts.netloc:
        return "has a name or a password in its address. Leave out what stands before the @."
    with suppress(ValueError):
        found = ipaddress.ip_address(parts.hostname or "")
        found = getattr(found, "ipv4_mapped", None) or found
        if found.is_link_local or found.is_multicast or found.is_unspecified:
            return f"has the address {found}, where none answers. Enter the one that its provider names."
    return ""


def _is_this_machine_only(host: str) -> bool:
    if host == "localhost" or host.endswith(".localhost"):
        return True
    with suppress(ValueError):
        found = ipaddress.ip_address(host)
        return found.is_loopback or found.is_unspecified
    return False


def answer_to(question: str) -> str:
    """What only this program answers to that question."""
    return Signer(salt="server address").signature(question[:LONGEST_QUESTION])


def leads_here(address: str, seconds: float = SECONDS) -> bool:
    """Whether this very program answers under the address. The certificate of an HTTPS server is not checked:
    the answer itself proves who gave it."""
    question = secrets.token_hex(16)
    encrypted = ssl.create_default_context()
    encrypted.check_hostname, encrypted.verify_mode = False, ssl.CERT_NONE
    asked = Request(f"{address.rstrip('/')}{reverse('here')}?q={quote(question)}")
    try:
        with urlopen(asked, timeout=seconds, context=encrypted) as answer:
            said = answer.read(200).decode("ascii", "replace")
    except (URLError, OSError, ValueError):
        return False
    return constant_time_compare(said, answer_to(question))


def offered(request: HttpRequest) -> list[str]:
    """Addresses of this machine under which the program answers other machines now."""
    scheme, port = ("https" if request.is_secure() else "http"), request.get_port()
    end = "" if port == ("443" if scheme == "https" else "80") else f":{port}"
    local = ("localhost", "127.0.0.1", "[::1]", "testserver", "*")
    named = [host.lstrip(".") for host in settings.ALLOWED_HOSTS if host not in local]
    found = dict.fromkeys(f"{scheme}://{host}{end}" for host in [*named, *own_addresses()])
    sound = [each for each in found if not problem_with(each)]
    if not sound:
        return []
    with ThreadPoolExecutor(len(sound)) as threads:
        answers = list(threads.map(lambda each: leads_here(each, SECONDS_OFFERED), sound))
    return [each for each, answered in zip(sound, answers, strict=True) if answered]


def own_addresses() -> list[str]:
    found = []
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        way.connect(ELSEWHERE)
        found.append(way.getsockname()[0])
    with suppress(OSError):
        found += [each[4][0] for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return [str(each) for each in dict.fromkeys(found)]
