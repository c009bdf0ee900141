"""The lower app: the evidence behind the documents a shop issues."""

from django.apps import AppConfig


class QualificationConfig(AppConfig):
    name = "qualification"
    verbose_name = "Evidence"

    def ready(self) -> None:
        from django.db.models.signals import post_migrate

        import qualification.own_password  # noqa: F401  notes when the password was entered
        import qualification.snapshots.approval  # noqa: F401  registers what approval asks and freezes
        from qualification.links import SOURCES, TRIAL_SOURCES
        from qualification.records import (
            audit_people,  # noqa: F401  notes attempts to sign in that failed
            change_marks,
        )
        from qualification.records.entry_sources import tests_from, trials_behind

        SOURCES.append(trials_behind)
        TRIAL_SOURCES.append(tests_from)
        post_migrate.connect(change_marks.after_migrations, sender=self)
