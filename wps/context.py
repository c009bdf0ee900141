"""What every page shows around its own content."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from qualification.models import Shop
from qualification.roles import may_read
from qualification.rules.core.program import program
from qualification.views.look import look_of, uses_single_keys
from wps.navigation import links_for


def shell(request: HttpRequest) -> dict[str, Any]:
    """Give templates the shop and the navigation; a visitor without a role gets no navigation."""
    user = getattr(request, "user", None)
    return {
        "shop": Shop.current(),
        "program_name": program(),
        "look": look_of(request),
        "single_keys": uses_single_keys(request),
        "shared_at": settings.SHARED_AT,
        "navigation": links_for(request.path) if user is not None and may_read(user) else [],
    }
