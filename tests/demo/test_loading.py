"""The command that loads the demo shop."""

import io

from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from qualification.models import Shop
from qualification.roles import roles_granted
from tests.demo.conftest import DemoShop
from wps.demo.people import PASSWORD
from wps.jobs.board import Board
from wps.jobs.coupon_plan import plan_of
from wps.jobs.job_consumption import job_takes
from wps.jobs.uncovered import uncovered
from wps.models import CouponCosts, Job


def demo() -> str:
    printed = io.StringIO()
    call_command("demo", stdout=printed)
    return printed.getvalue()


def test_it_makes_the_shop_and_a_person_for_each_role(demo_shop: DemoShop, client: Client) -> None:
    assert Shop.current().name == "Tidewater Gangway Works"
    roles = {person.username: set(roles_granted(person)) for person in User.objects.all()}
    assert roles == {"maren": {"author"}, "tobias": {"approver"}, "ilse": {"reader"}, "hedda": set()}
    for name in roles:
        assert f"  {name} " in demo_shop.printed
        client.logout()
        client.post("/sign-in/", {"username": name, "password": PASSWORD})
        assert "_auth_user_id" in client.session
    large = Job.objects.get(number="2112")
    assert (large.parts.count(), large.details.count()) == (40, 6)
    assert not plan_of(uncovered(large, timezone.localdate())).chosen  # under way, on what is on file
    planned = Job.objects.get(number="2131")
    plan = plan_of(uncovered(planned, timezone.localdate()))
    assert 0 < len(plan.chosen) < plan.one_by_one[0]
    takes = job_takes(
        Board.of(planned, timezone.localdate()), planned.parts.all(), CouponCosts.current().as_rates()
    )
    assert (takes.reckoned, takes.left_out) == (40, {})


def test_a_second_time_it_changes_nothing(demo_shop: DemoShop) -> None:
    Shop.objects.update(name="Renamed by its owner")
    User.objects.get(username="ilse").delete()
    maren = User.objects.get(username="maren")
    maren.set_password("her own words by now")
    maren.save()
    printed = demo()
    assert Shop.current().name == "Renamed by its owner"
    assert not User.objects.filter(username="ilse").exists()
    assert "maren" not in printed
    assert "tobias" in printed
