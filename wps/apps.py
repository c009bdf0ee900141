"""The upper app: the documents a shop issues, and the Django project itself."""

from django.apps import AppConfig


class WpsConfig(AppConfig):
    name = "wps"
    verbose_name = "Documents"

    def ready(self) -> None:
        from qualification.links import SOURCES
        from qualification.workflow import AFTER_APPROVAL
        from wps import attention, paper_attention
        from wps import checks  # noqa: F401  registers the system checks
        from wps.documents.issuing import begin_issue
        from wps.documents.record_links import document_of_test
        from wps.links import procedures_on

        SOURCES.append(procedures_on)
        AFTER_APPROVAL.append(begin_issue)
        SOURCES.append(document_of_test)
        attention.SOURCES.extend(paper_attention.SOURCES)
