"""The document of a test record, for the record's own page."""

from __future__ import annotations

from django.urls import reverse

from qualification.links import Link, Links
from qualification.models import CouponRecord, WelderTest
from qualification.rules.welders.validity_tables import ValidityRules
from qualification.welders.continuity import rules_of
from wps.documents.kinds import document_for, kind_of


def document_of_test(record: CouponRecord) -> Links:
    """The record's PDF, and the page with its signatures once there is a document."""
    kind = kind_of(record)
    document = document_for(record)
    links = [
        Link(
            "Print as PDF",
            reverse("document", args=[kind, record.pk]),
            "as issued" if document else "as it stands, not issued",
        )
    ]
    if document is not None:
        links.append(
            Link("Document and signatures", document.get_absolute_url(), document.get_stage_display())
        )
    links.append(
        Link(
            "Appendix as PDF",
            f"{reverse('document', args=[kind, record.pk])}?appendix=1",
            "why each number holds, checks of results, waveforms",
        )
    )
    links.append(
        Link("Save as data", reverse("record_data", args=[kind, record.pk]), "JSON, for other programs")
    )
    if isinstance(record, WelderTest) and isinstance(rules_of(record), ValidityRules):
        sheet = reverse("validity_sheet", args=[record.pk])
        links.append(
            Link("Confirmations and prolongations as PDF", sheet, "as on record today, with blank lines")
        )
    return Links("Document", "", tuple(links), are_papers=True)
