"""The upper app: the documents a shop issues, and the Django project itself."""

from django.apps import AppConfig


class WpsConfig(AppConfig):
    name = "wps"
    verbose_name = "Documents"

    def ready(self) -> None:
        from wps import checks  # noqa: F401  registers the system checks
