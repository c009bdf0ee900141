"""The upper app: the documents a shop issues, and the Django project itself."""

from django.apps import AppConfig


class WpsConfig(AppConfig):
    name = "wps"
    verbose_name = "Documents"

    def ready(self) -> None:
        from wps.registrations import register  # needs the models, which are ready only now

        register(self)
