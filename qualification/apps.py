"""The lower app: the evidence behind the documents a shop issues."""

from django.apps import AppConfig


class QualificationConfig(AppConfig):
    name = "qualification"
    verbose_name = "Evidence"

    def ready(self) -> None:
        from qualification.links import SOURCES, TRIAL_SOURCES
        from qualification.origins import tests_from, trials_behind

        SOURCES.append(trials_behind)
        TRIAL_SOURCES.append(tests_from)
