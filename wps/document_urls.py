"""Addresses of documents, signing, verification and background work."""

from django.urls import path

from wps.views import background, certificate, documents, verify

urlpatterns = [
    path("documents/<str:kind>/<int:pk>.pdf", documents.document, name="document"),
    path("documents/<str:kind>/<int:pk>/", documents.issued_document, name="issued_document"),
    path("documents/<str:kind>/<int:pk>/issue/", documents.document_issue, name="document_issue"),
    path("documents/<str:kind>/<int:pk>/sign/", documents.document_sign, name="document_sign"),
    path("certificate/", certificate.certificate, name="certificate"),
    path("certificate/make/", certificate.certificate_make, name="certificate_make"),
    path("certificate/upload/", certificate.certificate_upload, name="certificate_upload"),
    path("certificate/<int:pk>/revoke/", certificate.certificate_revoke, name="certificate_revoke"),
    path("certificate/authority.pem", certificate.authority_certificate, name="authority_certificate"),
    path("verify/", verify.verify, name="verify"),
    path("verify/<str:code>/", verify.verify_code, name="verify_code"),
    path("background/<int:pk>/", background.background_task, name="background_task"),
    path("background/<int:pk>/again/", background.background_again, name="background_again"),
]
