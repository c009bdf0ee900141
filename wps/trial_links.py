"""What the upper app makes of trials: procedure drafts, and the way back to them."""

from __future__ import annotations

from django.urls import reverse

from qualification.evidence.trial_reading import TrialRead
from qualification.links import Action, Link, Links
from qualification.models import Trial
from qualification.trials.coupon_cost import trial_cost
from wps.models import CouponCosts, Spec


def preliminary_procedure(trial: Trial) -> Action:
    """A preliminary WPS from one trial."""
    return Action(
        "Start a preliminary WPS from it",
        reverse("procedure_from_trial", args=[trial.pk]),
        "A draft with these settings and readings, to weld the qualification coupon by.",
    )


def procedure_of_window(trial: Trial) -> Action:
    """A WPS from the settings window."""
    return Action(
        "Take the window into a new WPS draft",
        reverse("procedure_from_window", args=[trial.pk]),
        "Each range keeps the trials it came from; nothing is approved by this.",
    )


def report_of_trial(trial: Trial) -> Links:
    """The trial's report."""
    link = Link(
        "Print as PDF",
        reverse("trial_report", args=[trial.pk]),
        "settings, passes, results, photos, waveforms",
    )
    return Links("Report", "", (link,))


def cost_of_trial(trial: Trial) -> Links:
    """What the coupon cost by the shop's own rates, part by part."""
    read, rates = TrialRead(trial), reverse("coupon_costs")
    cost = trial_cost(read.facts_shown, read.passes, CouponCosts.current().as_rates(), trial.units)
    links = [Link(f"{part.label}: {part.money:.2f}", rates, part.how) for part in cost.parts]
    links += [Link("Not counted", trial.get_absolute_url(), words) for words in cost.missing]
    return Links(f"Cost of the coupon: {cost.words}", "", tuple(links))


def procedures_from(trial: Trial) -> Links | None:
    """Procedures whose entries came from the trial."""
    ids = set(trial.origins.filter(record_kind=Spec.KIND).values_list("record_id", flat=True))
    links = tuple(
        Link(f"{spec} {spec.title}".strip(), spec.get_absolute_url(), spec.get_state_display())
        for spec in Spec.objects.filter(pk__in=ids)
    )
    return Links("Procedures made from it", "", links) if links else None
