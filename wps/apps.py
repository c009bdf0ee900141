"""The upper app: the documents a shop issues, and the Django project itself."""

from django.apps import AppConfig


class WpsConfig(AppConfig):
    name = "wps"
    verbose_name = "Documents"

    def ready(self) -> None:
        from qualification.later import QUEUES
        from qualification.links import SOURCES, TEST_ACTIONS, TRIAL_ACTIONS, TRIAL_SOURCES, WINDOW_ACTIONS
        from qualification.workflow import AFTER_APPROVAL
        from wps import (
            attention,
            background,
            checks,  # noqa: F401  registers the system checks
            limits_attention,
            paper_attention,
            trial_links,
        )
        from wps.documents.issuing import begin_issue
        from wps.documents.record_links import document_of_test
        from wps.links import procedure_of, procedures_on

        SOURCES.append(procedures_on)
        TEST_ACTIONS.append(procedure_of)
        AFTER_APPROVAL.append(begin_issue)
        SOURCES.append(document_of_test)
        TRIAL_ACTIONS.append(trial_links.preliminary_procedure)
        WINDOW_ACTIONS.append(trial_links.procedure_of_window)
        TRIAL_SOURCES.append(trial_links.procedures_from)
        TRIAL_SOURCES.append(trial_links.report_of_trial)
        QUEUES.append(background.queue)
        attention.SOURCES.extend(paper_attention.SOURCES)
        attention.SOURCES.extend(limits_attention.SOURCES)
