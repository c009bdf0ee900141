"""Addresses of documents, signing, verification and background work."""

from django.urls import path

from wps.views import attachments, background, certificate, documents, packets, signing_desk, verify

urlpatterns = [
    path("documents/welder-test/<int:pk>/validity.pdf", documents.validity_sheet, name="validity_sheet"),
    path("documents/trial/<int:pk>.pdf", documents.trial_report, name="trial_report"),
    path("documents/<str:kind>/<int:pk>.pdf", documents.document, name="document"),
    path("documents/<str:kind>/<int:pk>/", documents.issued_document, name="issued_document"),
    path("documents/<str:kind>/<int:pk>/issue/", documents.document_issue, name="document_issue"),
    path("documents/<str:kind>/<int:pk>/sign/", documents.document_sign, name="document_sign"),
    path("to-sign/", signing_desk.signing_desk, name="signing_desk"),
    path("certificate/", certificate.certificate, name="certificate"),
    path("certificate/make/", certificate.certificate_make, name="certificate_make"),
    path("certificate/upload/", certificate.certificate_upload, name="certificate_upload"),
    path("certificate/<int:pk>/revoke/", certificate.certificate_revoke, name="certificate_revoke"),
    path("certificate/authority.crl", certificate.revocation_list, name="revocation_list"),
    path("certificate/authority.pem", certificate.authority_certificate, name="authority_certificate"),
    path("verify/", verify.verify, name="verify"),
    path("verify/file/<int:pk>/", verify.verify_file, name="verify_file"),
    path("verify/<str:code>/", verify.verify_code, name="verify_code"),
    path("background/<int:pk>/", background.background_task, name="background_task"),
    path("background/<int:pk>/again/", background.background_again, name="background_again"),
    path("packets/", packets.packet_list, name="packet_list"),
    path("packets/new/", packets.packet_new, name="packet_new"),
    path("packets/<int:pk>/", packets.packet, name="packet"),
    path("packets/<int:pk>.pdf", packets.packet_file, name="packet_file"),
    path("packets/<int:pk>/edit/", packets.packet_edit, name="packet_edit"),
    path("packets/<int:pk>/assemble/", packets.packet_assemble, name="packet_assemble"),
    path("packets/<int:pk>/sign/", packets.packet_sign, name="packet_sign"),
    path("packets/<int:pk>/hand-over/", packets.packet_hand_over, name="packet_hand_over"),
    path("packets/told/<int:pk>/", packets.packet_recalled, name="packet_recalled"),
    path("attachments/", attachments.attachment_list, name="attachment_list"),
    path("attachments/add/", attachments.attachment_add, name="attachment_add"),
    path("attachments/<int:pk>/file/", attachments.attachment_file, name="attachment_file"),
    path("attachments/<int:pk>/set-aside/", attachments.attachment_set_aside, name="attachment_set_aside"),
]
