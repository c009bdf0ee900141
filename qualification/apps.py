"""The lower app: the evidence behind the documents a shop issues."""

from django.apps import AppConfig


class QualificationConfig(AppConfig):
    name = "qualification"
    verbose_name = "Evidence"
