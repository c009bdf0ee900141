"""The coupon plan of a job: what it names, what it becomes, and the rates behind it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.evidence.coverage import read_record
from qualification.models import AuditEntry, ProcedureTest, Welder, WelderTest
from qualification.records.cache import Remembered
from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.findings import Verdict
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.plan.costs import Rates
from qualification.rules.plan.coupons import Plan
from qualification.rules.ranges.coverage import cover_whole
from tests.rules.plan.asked import cover_gap
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.jobs import coupon_plan, plan_work
from wps.jobs.advice import advice
from wps.jobs.board import Board
from wps.jobs.coupon_plan import PlanInWords, plan_of
from wps.jobs.coupon_schedule import after, schedule
from wps.jobs.part_view import PartView
from wps.jobs.uncovered import _Look, uncovered
from wps.models import CouponCosts, Job, Spec

pytestmark = pytest.mark.django_db
DAY = date(2031, 4, 1)


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def thick_job(author: User, shop: object) -> Job:
    """A job of three welds beside what is on file: one covered, two far thicker than any test carries."""
    tested = procedure_test(author)
    spec(author, tested, state="approved")
    welder_test(author, welder(), joint={"thickness_a": "1/8"}, line={"deposit_thickness": "1/8"})
    made = job()
    part(made, "A", spec_number="W-101")
    for mark, position in (("B", "flat"), ("C", "vertical")):
        thick = {"thickness_a": "1 1/2", "position": position}
        part(made, mark, joint=thick, line={"deposit_thickness": "1 1/2"})
    return made


def _plan_url(made: Job) -> str:
    return reverse("coupon_plan", args=[made.pk])


def test_a_plan_names_the_coupon_what_it_buys_and_what_it_costs(
    reader_client: Client, thick_job: Job
) -> None:
    answer = reader_client.get(_plan_url(thick_job))
    plan = answer.context["plan"]
    assert {gap.marks for gap in plan.found.gaps if gap.side is Side.PROCEDURE} == {("B",), ("C",)}
    assert sum(coupon.cost for coupon in plan.coupons) == plan.cost > 0
    assert "B" in {mark for coupon in plan.coupons for buys in coupon.buys for mark in buys.marks.split(", ")}
    assertContains(answer, "Proven: no cheaper set among the")
    assertContains(answer, "Buys")
    assertContains(answer, "side bend")
    assertNotContains(answer, "Create drafts for this plan")  # a reader makes none


def test_advice_for_one_weld_is_the_plan_for_it_alone(thick_job: Job) -> None:
    thick_job.parts.exclude(mark="B").delete()
    found = uncovered(thick_job, DAY)
    for gap in found.gaps:
        (coupon,) = PlanInWords(found, plan_of(replace(found, gaps=(gap,)))).coupons
        first, *others = advice(
            gap.weld, gap.line, found.codes.of(gap.side), gap.side, gap.system, gap.house
        ).sentences
        assert coupon.title in first
        assert f"{coupon.cost:,.2f}" in first
        assert len(others) == len(coupon.instead)
        assert all(dearer in said for said, (_, dearer) in zip(others, coupon.instead, strict=True))


def test_a_job_that_is_covered_needs_no_coupon(reader_client: Client, author: User, shop: object) -> None:
    tested = procedure_test(author)
    spec(author, tested, state="approved")
    welder_test(author, welder())
    made = job()
    part(made, "A", spec_number="W-101")
    assertContains(reader_client.get(_plan_url(made)), "No coupon is needed")
    part(made, "B")
    assertContains(reader_client.get(_plan_url(made)), "No coupon is needed")


def test_welds_that_tests_carry_name_the_tests_the_plain_engine_names(author: User, shop: object) -> None:
    """Asked about few tests instead of all on file, those named are the same."""
    silicon = {"filler_classification": "ER4043"}
    first = procedure_test(author, "PT-011", line=silicon)
    procedure_test(author, "PT-012")
    procedure_test(author, "PT-013")
    thin = {"thickness_a": "1/8-3/16"}
    spec(author, first, state="approved", joint=thin, line={**silicon, "deposit_thickness": "1/8-3/16"})
    made = job()
    part(made, "A", line=silicon)
    part(made, "B", line={"filler_classification": "ER5356"})
    part(made, "C", joint={"thickness_a": "3 in"}, line={"deposit_thickness": "3 in"})
    found, look = uncovered(made, DAY), _Look(Board.of(made, DAY))
    named = {mark: each.why for each in found.only_a_procedure for mark in each.marks}
    for weld in made.parts.all():
        drawn = look.as_made(PartView.of(weld, look.shelf))
        whole = derive(group(drawn, found.codes.work))
        report = cover_whole(whole, look.on_file, found.codes.work, Side.PROCEDURE)
        carried = all(line.verdict <= Verdict.COVERED for line in report.lines)
        assert (weld.mark in named) == carried
        assert not carried or f"on {', '.join(report.relied_on)};" in named[weld.mark]
    assert "on PT-011;" in named["A"]
    assert "on PT-012;" in named["B"]
    assert "C" not in named


def test_a_weld_that_states_too_little_says_what_is_missing(
    reader_client: Client, author: User, shop: object
) -> None:
    made = job()
    part(made, "A", line={"filler_classification": ""})
    assertContains(reader_client.get(_plan_url(made)), "Enter")
    made.parts.update(lines=[])
    assertContains(reader_client.get(_plan_url(made)), "Enter the welding process first.")


def test_drafts_are_made_of_a_plan_and_cover_what_it_promised(author_client: Client, thick_job: Job) -> None:
    before = set(ProcedureTest.objects.values_list("pk", flat=True))
    found = uncovered(thick_job, DAY)
    plan = plan_of(found)
    chosen = {f"welder_{n}": welder().pk for n, _ in enumerate(plan.chosen, start=1)}
    answer = author_client.post(_plan_url(thick_job), chosen, follow=True)
    assertContains(answer, "of test records made:")
    made = [
        *ProcedureTest.objects.exclude(pk__in=before).order_by("pk"),
        *WelderTest.objects.filter(state="draft").order_by("pk"),
    ]
    assert len(made) == len(plan.chosen)
    for record in made:
        assert record.title.startswith(f"Coupon for {thick_job.number}: ")
        read = read_record(record)
        assert not read.problems
        matching = [
            each
            for each in plan.chosen
            if all(
                cover_gap([Coupon(record.number, read.weld, record.units)], found.gaps[n], found.codes)
                for n in each.offer.covers
            )
        ]
        assert matching
        assert AuditEntry.objects.filter(verb="create", record_id=record.pk).exists()


def test_a_welders_test_asks_who_welds_it(author_client: Client, author: User, shop: object) -> None:
    tested = procedure_test(author, welder=welder())
    spec(author, tested, state="approved")
    Welder.objects.update(active=False)
    other = Welder.objects.create(stamp="ZZ", name="Zoe Zander")
    made = job()
    part(made, "A", spec_number="W-101")
    answer = author_client.post(_plan_url(made), {})
    assertContains(answer, "Welder of coupon 1: choose who welds it", status_code=422)
    assert not WelderTest.objects.exists()
    author_client.post(_plan_url(made), {"welder_1": other.pk})
    assert WelderTest.objects.get().welder == other


def test_costs_are_the_shops_own_and_change_the_plan(
    author_client: Client, reader_client: Client, thick_job: Job
) -> None:
    url = reverse("coupon_costs")
    assert reader_client.get(url).status_code == 403
    page = author_client.get(url)
    entries = {name: str(field.initial) for name, field in page.context["form"].fields.items()}
    before = author_client.get(_plan_url(thick_job)).context["plan"].cost
    answer = author_client.post(f"{url}?job={thick_job.pk}", {**entries, "hour": "170"})
    assert answer.url == _plan_url(thick_job)
    assert CouponCosts.current().as_rates().hour == 170
    assert author_client.get(_plan_url(thick_job)).context["plan"].cost > before
    assert AuditEntry.objects.filter(verb="change", record_kind="coupon costs").count() == 1


@pytest.mark.parametrize(
    "typed", ["", "much", "-1", "100001", "1.234", "1,500", "2 in", "2/lb", "1e9 lb", "1" * 41, "3 lb lb"]
)
def test_a_rate_that_is_no_amount_is_refused(author_client: Client, typed: str) -> None:
    url = reverse("coupon_costs")
    fields = author_client.get(url).context["form"].fields
    entries = {name: str(field.initial) for name, field in fields.items()}
    answer = author_client.post(url, {**entries, "kg_per_hour": typed})
    assertContains(answer, "Weld metal laid in an hour (kg): enter a number", status_code=422)
    assert not CouponCosts.objects.exists()


@pytest.mark.parametrize("name", ["operating_percent", "hour", "filler_kg"])
def test_a_rate_that_is_too_long_is_refused_in_words(author_client: Client, name: str) -> None:
    """The label of the first has a percent sign, which is no place for a number in a message."""
    url = reverse("coupon_costs")
    fields = author_client.get(url).context["form"].fields
    entries = {each: str(field.initial) for each, field in fields.items()}
    answer = author_client.post(url, {**entries, name: "1" * 2000})
    assertContains(answer, f"{fields[name].label}: enter a number", status_code=422)


def test_a_rate_by_the_pound_is_taken_and_shown_again_as_typed(author_client: Client) -> None:
    url = reverse("coupon_costs")
    fields = author_client.get(url).context["form"].fields
    entries = {name: str(field.initial) for name, field in fields.items()}
    own = {"filler_kg": "9.98/lb", "spool_kg": "16 lb", "gas_m3": "0.45 per ft³", "stub_mm": "2 in"}
    assert author_client.post(url, {**entries, **own}).status_code == 302
    rates = CouponCosts.current().as_rates()
    # Pound, foot and inch by NIST Handbook 44, appendix C: 0.45359237 kg, 0.3048 m, 25.4 mm.
    assert [rates.filler_kg, rates.spool_kg, rates.gas_m3, rates.stub_mm] == [
        Decimal("22.00213"),
        Decimal("7.25748"),
        Decimal("15.89160"),
        Decimal("50.80000"),
    ]
    shown = author_client.get(url).context["form"]
    assert {name: shown[name].value() for name in own} == own


def test_a_rate_of_zero_is_taken_where_it_divides_nothing(author_client: Client) -> None:
    url = reverse("coupon_costs")
    fields = author_client.get(url).context["form"].fields
    entries = {name: str(field.initial) for name, field in fields.items()}
    assert author_client.post(url, {**entries, "witness": "0"}).status_code == 302
    assert author_client.post(url, {**entries, "kg_per_hour": "0"}).status_code == 422


def test_a_large_plan_is_made_beside_the_page(
    reader_client: Client, thick_job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plan_work, "AT_ONCE", 0)
    plans: Remembered[Plan] = Remembered(2)
    monkeypatch.setattr(coupon_plan, "_plans", plans)
    waiting = reader_client.get(_plan_url(thick_job))
    assertContains(waiting, "considered so far")
    plan = waiting.context["work"].future.result()
    assert waiting.context["work"].considered > 0
    shown = reader_client.get(_plan_url(thick_job)).context["plan"].plan
    assert shown == plan == plan_of(uncovered(thick_job, DAY))


def test_what_goes_wrong_beside_the_page_is_not_hidden(
    reader_client: Client, thick_job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*asked: object, **more: object) -> Plan:
        raise ValueError("a coupon of no kind")

    monkeypatch.setattr(plan_work, "AT_ONCE", 0)
    monkeypatch.setattr(plan_work, "plan_coupons", fails)
    monkeypatch.setattr(coupon_plan, "_plans", Remembered(2))
    work = reader_client.get(_plan_url(thick_job)).context["work"]
    assert isinstance(work.future.exception(), ValueError)
    with pytest.raises(ValueError, match="no kind"):
        reader_client.get(_plan_url(thick_job))


def test_a_procedure_coupon_comes_with_a_preliminary_procedure(author_client: Client, thick_job: Job) -> None:
    page = author_client.get(_plan_url(thick_job))
    fields = {each.key: welder("AB").pk for each in page.context["plan"].coupons if each.needs_welder}
    author_client.post(_plan_url(thick_job), fields)
    (made,) = Spec.objects.filter(title__startswith="Preliminary")
    (tested,) = made.tests.all()
    assert (made.state, tested.state) == ("draft", "draft")
    assert made.joint["thickness_a"] == tested.joint["thickness_a"]
    assert made.lines[0]["filler_classification"] == tested.lines[0]["filler_classification"]
    slot = next(s for s in page.context["schedule"] if s.coupon.kind == "Procedure test")
    assert f"Planned for {slot.begin}" in tested.notes
    assert f"Cut and examine: {slot.coupon.cut}." in tested.notes


FRIDAY = date(2031, 4, 4)


@pytest.mark.parametrize(
    ("hours", "begins", "dones"),
    [
        (["8", "8"], [0, 3], [0, 3]),  # a day each; the weekend between
        (["4", "4", "1"], [0, 0, 3], [0, 0, 3]),
        (["8.1"], [0], [3]),
        (["20"], [0], [4]),
    ],
)
def test_coupons_are_welded_one_after_another_on_working_days(
    hours: list[str], begins: list[int], dones: list[int]
) -> None:
    coupons = [SimpleNamespace(hours=Decimal(each)) for each in hours]
    slots = schedule(coupons, Rates(), FRIDAY)  # type: ignore[arg-type]
    assert [(slot.begin - FRIDAY).days for slot in slots] == begins
    assert [(slot.done - FRIDAY).days for slot in slots] == dones
    assert after(FRIDAY, 5) == date(2031, 4, 11)
    assert schedule(coupons[:1], Rates(), date(2031, 4, 5))[0].begin == date(2031, 4, 7)
