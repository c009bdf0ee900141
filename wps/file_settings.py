"""Settings of files: what is served as it lies in the tree, and how uploads are kept."""

STATIC_URL = "static/"
MEDIA_URL = "media/"
# Static files are served straight from the source tree: nothing to collect before the first page.
WHITENOISE_USE_FINDERS = True
WHITENOISE_MIMETYPES = {".ttf": "font/ttf"}  # not every system knows it
STORAGES = {
    "default": {"BACKEND": "qualification.on_disk.MediaOnDisk"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
