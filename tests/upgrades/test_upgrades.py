"""A shop that an earlier release left is brought to this one: nothing is lost, and its papers are derived
again and agree, but where a code's numbers were mended. Each shop was written by `python -m tests.upgrades`
of its release."""

from __future__ import annotations

import json
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

from wps.backups.archive import TOP
from wps.documents.kept import AS_ISSUED

HERE = Path(__file__).resolve().parent


RELEASES = sorted(path.name.removesuffix(".tar.gz") for path in HERE.glob("*.tar.gz"))


@pytest.mark.parametrize("release", RELEASES)
def test_a_shop_of_an_earlier_release_goes_on_whole(release: str, tmp_path: Path) -> None:
    with tarfile.open(HERE / f"{release}.tar.gz") as archive:
        archive.extractall(tmp_path, filter="data")
    (tmp_path / TOP / "shop.sqlite3").chmod(0o600)
    command = [sys.executable, "-m", "tests.upgrades.look", str(tmp_path / TOP)]
    run = subprocess.run(command, cwd=HERE.parent.parent, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    said = json.loads(run.stdout)
    assert (said["holds"], said["changed"]) == (True, []), said
    assert said["approved"] > 10
    assert set(said["papers"]) == {"procedure", "procedure-test", "welder-test"}
    for paper in said["papers"].values():
        assert (paper["content"], paper["kept"]) == (True, AS_ISSUED), paper
        # Findings may differ where the numbers of the code were mended since, and only there.
        assert paper["derived"] or not paper["same_tables"], paper
    assert any(paper["derived"] for paper in said["papers"].values())
