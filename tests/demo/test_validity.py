"""The demo shop's welders under ISO 9606-2: one to be confirmed within the month, one who was prolonged."""

from django.contrib.auth.models import User
from django.utils import timezone

from qualification.models import Welder
from qualification.records.audit_check import first_break
from qualification.welders.continuity import standings_of
from tests.demo.conftest import DemoShop
from wps.today.attention import SOON, continuity_ending


def test_the_demo_shows_a_confirmation_due_and_a_prolongation(demo_shop: DemoShop) -> None:
    today = timezone.localdate()
    # She welded the coupon of a procedure test too, which is a test of hers with nothing to confirm yet.
    (due,) = [each for each in standings_of(Welder.objects.get(stamp="MS"), today) if each.answer.due]
    assert (due.verdict, due.answer.due[0].what) == ("covered", "confirmation")
    assert today < due.answer.due[0].day <= today + SOON
    (prolonged,) = standings_of(Welder.objects.get(stamp="IF"), today)
    assert prolonged.verdict == "covered"
    assert [event.change.value for event in prolonged.answer.history] == ["qualified", "prolonged"]
    said = [matter.what for matter in continuity_ending(User.objects.get(username="ilse")).matters]
    assert "Marit Solberg (MS): GMAW, semiautomatic, WT-014" in said
    assert not any("Ivo Ferrant" in each for each in said)
    assert first_break() is None
