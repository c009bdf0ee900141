"""What to check on entries as they are typed, each with the way to its field."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from qualification.codes.quiet_checks import with_quiet
from qualification.forms.field_links import field_of
from qualification.forms.record_forms import RecordForms
from qualification.rules.trials.combinations import CombinationCheck, checks_of


def linked_checks(
    forms: RecordForms, more: Iterable[CombinationCheck] = (), *, with_settings: bool = True
) -> list[dict[str, Any]]:
    """The checks of what stands in the forms, then `more`, as `templates/_check_this.html` shows them."""
    found = checks_of(forms.read, forms.use, forms.system, with_settings=with_settings)
    return [{**each.as_json(), "field_id": _field(forms, each)} for each in with_quiet((*found, *more))]


def _field(forms: RecordForms, check: CombinationCheck) -> str:
    ids = (field_of(forms, key, check.line) for key in check.variables)
    return next((each for each in ids if each), "")
