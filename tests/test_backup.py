"""The whole shop in one file, and back."""

import hashlib
import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

ROOT = Path(__file__).resolve().parent.parent


def test_a_backup_taken_while_the_program_runs_opens_as_the_same_shop(tmp_path: Path) -> None:
    """A shop of its own in another process: records are committed there, as in a shop, with the log still
    open."""
    data, kept = tmp_path / "the shop's #1 data", tmp_path / "kept.tar.gz"
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}

    def manage(*words: str, folder: Path = data) -> str:
        run = subprocess.run(
            [sys.executable, ROOT / "manage.py", *words],
            env={**environment, "CTP_DATA": str(folder)},
            capture_output=True,
            text=True,
        )
        assert run.returncode == 0, run.stderr
        return run.stdout

    manage("migrate", "--verbosity", "0")
    (data / "issued").mkdir()
    paper = data / "issued" / f"{hashlib.sha256(b'%PDF-1.7').hexdigest()}.pdf"
    paper.write_bytes(b"%PDF-1.7")
    manage("shell", "-c", "from qualification.models import Shop; Shop(pk=1, name='Longshore Frames').save()")
    with sqlite3.connect(data / "shop.sqlite3") as open_beside:
        open_beside.execute("PRAGMA journal_mode=WAL")
        open_beside.execute("UPDATE qualification_shop SET phone = '555 0100'")
        open_beside.commit()
        said = manage("backup", str(kept))
    open_beside.close()
    assert "keep it where only" in said
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    back = tmp_path / "back"
    said = manage("restore", str(kept), folder=back)
    assert "The audit trail holds: 0 entries" in said
    assert (back / "secret_key").read_text() == (data / "secret_key").read_text()
    assert (back / "issued" / paper.name).read_bytes() == b"%PDF-1.7"
    assert stat.S_IMODE(back.stat().st_mode) == stat.S_IMODE((back / "issued").stat().st_mode) == 0o700
    assert stat.S_IMODE((back / "shop.sqlite3").stat().st_mode) == 0o600
    with sqlite3.connect(back / "shop.sqlite3") as restored:
        row = restored.execute("SELECT name, phone FROM qualification_shop").fetchone()
        verbs = [
            verb for (verb,) in restored.execute("SELECT verb FROM qualification_auditentry ORDER BY id")
        ]
    restored.close()
    assert row == ("Longshore Frames", "555 0100")
    assert verbs == ["restore"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("where", "said"), [("there.tar.gz", "is there already"), ("no/such/folder.tar.gz", "Make it first")]
)
def test_a_file_that_is_there_stays_and_nothing_is_left_behind(where: str, said: str, tmp_path: Path) -> None:
    (tmp_path / "there.tar.gz").write_text("older")
    with pytest.raises(CommandError, match=said):
        call_command("backup", tmp_path / where)
    assert [each.name for each in tmp_path.iterdir()] == ["there.tar.gz"]
    assert (tmp_path / "there.tar.gz").read_text() == "older"


@pytest.mark.django_db
def test_another_database_is_left_to_its_own_tools(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "vendor", "postgresql")
    with pytest.raises(CommandError, match="pg_dump"):
        call_command("backup", tmp_path / "kept.tar.gz")
    assert not list(tmp_path.iterdir())
