"""System checks: a mistake in the set-up is found at the start and says how to mend it."""

from pathlib import Path

from django.core.management import call_command
from pytest_django import Settings

from wps import checks
from wps.local_files import make_private_folder, secret_key


def test_the_project_passes_its_own_checks(db: None) -> None:
    call_command("check", fail_level="WARNING")
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_an_unknown_time_zone_is_found(settings: Settings) -> None:
    settings.TIME_ZONE = "Mars/Olympus"
    (problem,) = checks.time_zone_is_known(None)
    assert problem.id == "wps.E002"
    assert "Europe/Amsterdam" in problem.hint


def test_a_host_without_https_is_found(settings: Settings) -> None:
    settings.ALLOWED_HOSTS = ["localhost", "papers.tidewater.example"]
    (problem,) = checks.open_hosts_need_https(None)
    assert "papers.tidewater.example" in problem.msg
    assert "CTP_HTTPS=1" in problem.hint
    settings.HTTPS = True
    assert checks.open_hosts_need_https(None) == []


def test_a_key_that_others_can_read_is_found(settings: Settings, tmp_path: Path) -> None:
    settings.LOCAL_DIR = tmp_path
    secret_key(tmp_path / "secret_key")
    assert checks.data_folder_is_writable(None) == []
    (tmp_path / "secret_key").chmod(0o644)
    (problem,) = checks.data_folder_is_writable(None)
    assert problem.hint == f"Run: chmod 600 {tmp_path / 'secret_key'}"


def test_a_missing_data_folder_is_found(settings: Settings, tmp_path: Path) -> None:
    settings.LOCAL_DIR = tmp_path / "gone"
    (problem,) = checks.data_folder_is_writable(None)
    assert "CTP_DATA" in problem.hint


def test_the_key_is_made_once_and_private(tmp_path: Path) -> None:
    folder = make_private_folder(tmp_path / "data")
    first = secret_key(folder / "secret_key")
    assert len(first) >= 50
    assert secret_key(folder / "secret_key") == first
    assert (folder / "secret_key").stat().st_mode & 0o777 == 0o600
    assert folder.stat().st_mode & 0o777 == 0o700
    assert [path.name for path in folder.iterdir()] == ["secret_key"]
