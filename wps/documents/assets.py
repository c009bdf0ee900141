"""What a document may load: the program's own static files, the shop's pictures, and drawings in its own
text; nothing else."""

from __future__ import annotations

from base64 import b64decode
from pathlib import Path
from urllib.parse import unquote, urlparse

from django.conf import settings
from django.contrib.staticfiles import finders
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from wps.documents.inline import INLINE, INLINE_PICTURE

_MIME = {
    ".css": "text/css",
    ".ttf": "font/ttf",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".svg": "image/svg+xml",
    ".webp": "image/webp",
}


class AssetError(FatalURLFetchingError):
    """The document names something that is not one of its own files. Fatal: a font or picture that is
    silently left out would change a controlled document."""


class AssetFetcher(URLFetcher):
    """Serves `asset:/NAME` from the static files, `asset:/media/NAME` from the uploads, and drawings that the
    document carries in its own text."""

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        for begins, kind in ((INLINE, "image/svg+xml"), (INLINE_PICTURE, "image/png")):
            if url.startswith(begins):
                return URLFetcherResponse(url, b64decode(url.removeprefix(begins)), {"Content-Type": kind})
        path = path_of(url)
        return URLFetcherResponse(
            url,
            path.read_bytes(),
            {"Content-Type": _MIME.get(path.suffix.lower(), "application/octet-stream")},
        )


def path_of(url: str) -> Path:
    """The file behind `asset:/NAME`. Raises AssetError for any other address, and where there is none."""
    parts = urlparse(url)
    if parts.scheme != "asset":
        raise AssetError(f"The document names {url}, which is not one of the program's own files.")
    name = unquote(parts.path).lstrip("/")
    if name.startswith("media/"):
        root = Path(settings.MEDIA_ROOT).resolve()
        path = (root / name.removeprefix("media/")).resolve()
        if path.is_relative_to(root) and path.is_file():
            return path
    elif found := finders.find(name):
        return Path(found)
    raise AssetError(f"The document names {name}, and there is no such file.")
