"""The addresses of the whole program: the upper app's own pages, then the evidence below."""

from django.urls import URLPattern, URLResolver, include, path

from wps.views import errors, today

handler400 = errors.not_understood
handler403 = errors.not_allowed
handler404 = errors.not_found
handler500 = errors.went_wrong

urlpatterns: list[URLPattern | URLResolver] = [
    path("", today.today, name="today"),
    path("", include("wps.document_urls")),
    path("", include("wps.ledger_urls")),
    path("procedures/", include("wps.procedure_urls")),
    path("", include("wps.job_urls")),
    path("", include("qualification.urls")),
]
