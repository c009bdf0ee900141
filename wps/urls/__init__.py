"""The addresses of the whole program: the upper app's own pages, then the evidence below."""

from django.urls import URLPattern, URLResolver, include, path

from wps.views import conditions, errors, find, first_paper, today

handler400 = errors.not_understood
handler403 = errors.not_allowed
handler404 = errors.not_found
handler500 = errors.went_wrong

urlpatterns: list[URLPattern | URLResolver] = [
    path("", today.today, name="today"),
    path("find/", find.find_page, name="find"),
    path("shop/computer/", conditions.conditions, name="conditions"),
    path("first-paper/", first_paper.first_paper, name="first_paper"),
    path(
        "first-paper/coupon/<str:edition>/<str:key>/", first_paper.coupon_from_start, name="coupon_from_start"
    ),
    path(
        "first-paper/procedure/<str:edition>/<str:key>/",
        first_paper.procedure_from_start,
        name="procedure_from_start",
    ),
    path("", include("wps.urls.documents")),
    path("", include("wps.urls.ledger")),
    path("procedures/", include("wps.urls.procedures")),
    path("", include("wps.urls.jobs")),
    path("", include("qualification.urls")),
]
