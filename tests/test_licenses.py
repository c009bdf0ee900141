"""Every package the program is installed with has a license that is known, and one without is noticed."""

from __future__ import annotations

from email.message import Message
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from django.core.management import CommandError, call_command

from wps import package_licenses
from wps.package_licenses import installed_licenses, license_of, locked


def stating(**fields: str) -> str:
    """What is made of metadata with these fields (core metadata 2.4, packaging.python.org)."""
    message = Message()
    for name, text in fields.items():
        message[name.replace("_", "-")] = text
    return license_of(cast("package_licenses.Distribution", SimpleNamespace(metadata=message)))


def test_every_locked_package_has_a_known_license() -> None:
    found = installed_licenses(locked())
    assert {"django", "pyrage", "webauthn"} <= set(found)
    assert [name for name, (_, license_) in found.items() if not license_] == []


def test_a_license_is_read_as_packages_state_it() -> None:
    assert stating(License_Expression="MIT", License="other") == "MIT"
    assert stating(Classifier="License :: OSI Approved :: BSD License", License="x") == "BSD License"
    assert stating(License="Apache-2.0") == "Apache-2.0"
    assert stating(License="The MIT License\n" + "word " * 50) == "The MIT License"
    assert stating(Classifier="Programming Language :: Rust") == ""


def test_a_package_without_a_known_license_is_named(
    monkeypatch: pytest.MonkeyPatch, settings: SimpleNamespace, tmp_path: Path
) -> None:
    (tmp_path / "requirements.lock").write_text("pyrage==1.4.0 \\\n    --hash=sha256:0\nnot-installed==1\n")
    settings.BASE_DIR = tmp_path
    assert locked() == ["pyrage", "not-installed"]
    call_command("licenses")
    monkeypatch.setattr(package_licenses, "READ_BY_HAND", {})
    with pytest.raises(CommandError, match="No license is known of pyrage"):
        call_command("licenses")
