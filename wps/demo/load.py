"""The invented demo shop, read from `fixtures/demo` and walked through the same workflow as a real one."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone

from qualification.models import ProcedureTest, ProcessUse, Record, Welder, WelderTest
from qualification.records import workflow
from qualification.records.audit import name_of, record_event
from wps.demo.laid_over import load_check, load_limit
from wps.demo.packet import load_packet
from wps.demo.trials import load_trial
from wps.demo.validity import load_act
from wps.models import Detail, Job, Part, Spec

EDITION = "asme_ix_2023"
FOLDER = settings.BASE_DIR / "fixtures" / "demo"
BY_HAND = {
    "SMAW": "manual",
    "GTAW": "manual",
    "GMAW": "semiautomatic",
    "FCAW": "semiautomatic",
    "SAW": "semiautomatic",
}


def load_records(author: User, approver: User) -> None:
    """Create welders, tests, procedures and jobs. Call inside a transaction, on a database without records.

    Days are counted back from today, so that what the demo shows of lapsing does not change with time.
    """
    today = timezone.localdate()
    # First, so that what is approved rests on them.
    for item in _read("laid_over", "check"):
        load_check(item, EDITION, approver, today)
    for item in _read("laid_over", "limit"):
        load_limit(item, approver)
    for item in _read("welders", "welder"):
        _welder(item, author, today)
    for item in _read("procedure_tests", "test"):
        _test(ProcedureTest, item, author, approver, today)
    for item in _read("procedures", "procedure"):
        _procedure(item, author, approver)
    for item in _read("welder_tests", "test"):
        _test(WelderTest, item, author, approver, today)
    for item in _read("jobs", "job"):
        _job(item)
    for item in _read("trials", "trial"):
        load_trial(item, FOLDER, EDITION, author, today)
    for item in _read("packets", "packet"):
        load_packet(item, author)


def _read(name: str, key: str) -> list[dict[str, Any]]:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))[key]


def _welder(item: dict[str, Any], author: User, today: date) -> None:
    welder = Welder.objects.create(
        name=item["name"], stamp=item["stamp"], notes=item.get("notes", ""), **item.get("person", {})
    )
    for use in item["used"]:
        ProcessUse.objects.create(
            welder=welder,
            process=use["process"],
            operation=BY_HAND[use["process"]],
            used_on=today - timedelta(days=use["days_ago"]),
            evidence=use["evidence"],
            recorded_by_name=name_of(author),
        )


def _test(
    model: type[ProcedureTest] | type[WelderTest],
    item: dict[str, Any],
    author: User,
    approver: User,
    today: date,
) -> None:
    record = model(
        number=item["number"],
        title=item["title"],
        edition=item.get("edition", EDITION),
        units=item.get("units", "us"),
        author=author,
        author_name=name_of(author),
        welder=Welder.objects.get(stamp=item["welder"]),
        welded_on=today - timedelta(days=item["welded_days_ago"]),
        joint=item["joint"],
        lines=item["lines"],
        results=item["results"],
        tests_wanted=item.get("tests_wanted", {}),
        notes=item.get("notes", ""),
        **{key: item.get(key, "") for key in ("spec_followed", "laboratory", "report_number", "witness")},
    )
    _walk(record, "approved", author, approver)
    for act in item.get("acts", []):
        assert isinstance(record, WelderTest)
        record.refresh_from_db()
        load_act(act, record, approver, today)


def _procedure(item: dict[str, Any], author: User, approver: User) -> None:
    spec = Spec(
        number=item["number"],
        title=item["title"],
        edition=item.get("edition", EDITION),
        units=item.get("units", "us"),
        author=author,
        author_name=name_of(author),
        joint=item["joint"],
        lines=item["lines"],
        notes=item.get("notes", ""),
        joint_note=item.get("joint_note", ""),
    )
    spec.save()
    spec.tests.set(ProcedureTest.objects.filter(number__in=item["tests"]))
    _walk(spec, item["state"], author, approver)


def _walk(record: Record, state: str, author: User, approver: User) -> None:
    if record.pk is None:
        record.save()
    record_event("create", record, author)
    if state in ("in_review", "approved"):
        workflow.apply("submit", record, author)
    if state == "approved":
        workflow.apply("approve", record, approver)


def _job(item: dict[str, Any]) -> None:
    job = Job.objects.create(
        number=item["number"],
        customer=item["customer"],
        title=item["title"],
        edition=item.get("edition", EDITION),
        welder_edition=item.get("welder_edition", ""),
        notes=item.get("notes", ""),
        ends_on=timezone.localdate() + timedelta(days=item["ends_in"]) if "ends_in" in item else None,
    )
    for detail in item.get("detail", ()):
        _detail(job, detail)
    parts = [*item.get("part", ()), *(each for series in item.get("series", ()) for each in _series(series))]
    Part.objects.bulk_create(
        Part(
            job=job,
            mark=part["mark"],
            title=part["title"],
            units=part.get("units", "us"),
            welder=Welder.objects.get(stamp=part["welder"]) if "welder" in part else None,
            joint=part["joint"],
            lines=part["lines"],
            spec_number=part.get("spec", ""),
            drawing=part.get("drawing", ""),
            length=part.get("length", ""),
        )
        for part in parts
    )


def _series(item: dict[str, Any]) -> list[dict[str, Any]]:
    """A weld for each thickness in each position, filled to its thickness; only a vertical one goes up."""
    sizes = [(thick, position) for thick in item["thicknesses"] for position in item["positions"]]
    return [
        {
            "mark": f"{item['prefix']}{number:02}",
            "title": f"{item['title']}, {thick} in, {position}",
            "drawing": item["drawing"],
            "length": item["length"],
            "joint": {**item["joint"], "thickness_a": thick, "position": [position]},
            "lines": [_line(line, thick, position) for line in item["lines"]],
        }
        for number, (thick, position) in enumerate(sizes, start=1)
    ]


def _line(line: dict[str, Any], thick: str, position: str) -> dict[str, Any]:
    kept = {key: said for key, said in line.items() if position == "vertical" or key != "progression"}
    return {**kept, "deposit_thickness": thick}


def _detail(job: Job, item: dict[str, Any]) -> None:
    """A detail with the welds that take their facts from it."""
    detail = Detail.objects.create(
        job=job, number=item["number"], title=item["title"], joint=item["joint"], lines=item["lines"]
    )
    first, last = item["marks"]
    for number in range(first, last + 1):
        Part.objects.create(
            job=job,
            mark=f"{number:04d}",
            title=item["title"],
            joint=item["joint"],
            lines=item["lines"],
            detail=detail,
            drawing=item["drawing"],
            length="8",
            spec_number=item.get("spec", ""),
            welder=Welder.objects.get(stamp=item["welder"]) if "welder" in item else None,
        )
