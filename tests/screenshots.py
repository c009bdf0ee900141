"""The pictures of the README, made anew from a demo shop of its own: `python -m tests.screenshots`. It takes
poppler for the paper. They are looked at before they are kept."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

FOLDER = Path(__file__).parent.parent / "fixtures" / "screenshots"
COLORS = 128
"""Enough for a page that is drawn in a few; a fifth of the size of a full one."""
RESOLUTION = 80


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"CTP_DATA": folder, "DJANGO_SETTINGS_MODULE": "wps.settings"}
        os.environ |= {"DJANGO_ALLOW_ASYNC_UNSAFE": "true"}
        os.environ.pop("DATABASE_URL", None)
        _take(Path(folder))
    return 0


def _take(folder: Path) -> None:
    import django

    django.setup()
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.test import Client
    from django.urls import reverse

    from tests.served import Served
    from wps.documents.context import content_of
    from wps.documents.issue import rendered
    from wps.models import Spec

    call_command("migrate", verbosity=0)
    call_command("demo", verbosity=0)
    printed = Spec.objects.get(number="AL-01")
    content = content_of(printed)
    _paper(rendered(printed, content, content, "letter").pdf, folder)
    client = Client()
    client.force_login(User.objects.get(username="maren"))
    server = Served(folder / "serve.log")
    server.start()
    try:
        session = {"name": settings.SESSION_COOKIE_NAME, "url": server.address}
        session["value"] = client.cookies[settings.SESSION_COOKIE_NAME].value
        draft = Spec.objects.get(number="AL-04")
        _editor(server.address + reverse("procedure_edit", args=[draft.pk]), session)
    finally:
        server.kill()


def _editor(address: str, session: dict[str, str]) -> None:
    from playwright.sync_api import sync_playwright

    from tests.conftest import CHROMIUM_FLAGS, _chromium

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=_chromium(), args=CHROMIUM_FLAGS)
        context = browser.new_context(viewport={"width": 1280, "height": 1000}, reduced_motion="reduce")
        context.set_default_timeout(120_000)
        context.add_cookies([session])
        page = context.new_page()
        page.goto(address)
        page.get_by_text("Supporting tests").first.evaluate("each => each.scrollIntoView()")
        page.evaluate("document.fonts.ready")
        _keep(page.screenshot(), "editor.png")
        browser.close()


def _paper(pdf: bytes, folder: Path) -> None:
    target = folder / "paper"
    call = ["pdftoppm", "-r", str(RESOLUTION), "-png", "-singlefile", "-", target]
    subprocess.run(call, input=pdf, check=True)
    _keep(target.with_suffix(".png").read_bytes(), "procedure-page.png")


def _keep(png: bytes, name: str) -> None:
    with Image.open(io.BytesIO(png)) as picture:
        picture.convert("RGB").quantize(COLORS).save(FOLDER / name, optimize=True)
    print(f"{FOLDER / name}")


if __name__ == "__main__":
    sys.exit(main())
