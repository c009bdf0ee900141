"""The upper app: the documents a shop issues, and the Django project itself."""

import gc

from django.apps import AppConfig

NEW_OBJECTS = 10_000
"""After so many new objects garbage is looked for. With Python's own 700 all tables and messages of the
program are looked through many times while one paper is laid out: a fifth of the time."""


class WpsConfig(AppConfig):
    name = "wps"
    verbose_name = "Documents"

    def ready(self) -> None:
        from wps.registrations import register  # needs the models, which are ready only now

        register(self)
        gc.set_threshold(NEW_OBJECTS)
