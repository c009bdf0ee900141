"""Photos taken at welds become attachments, as every other picture is kept."""

from __future__ import annotations

import io

from django.db import migrations, models

from wps.documents import vault

SUFFIXES = {"PNG": (".png", "image/png"), "JPEG": (".jpg", "image/jpeg")}


def attach(apps, schema_editor):
    """Bytes go into the vault as they came; what packets cannot bring (WebP) is written as PNG, which loses
    nothing. A photo whose file is gone stays known by its caption and is set aside."""
    from PIL import Image

    made = apps.get_model("wps", "Attachment").objects
    for photo in apps.get_model("wps", "WeldPhoto").objects.order_by("id"):
        said = {
            "kind": "photo",
            "title": photo.caption or f"Photo of {photo.part.job.number} / {photo.part.mark}",
            "part": photo.part,
            "filename": photo.image.name.rpartition("/")[2][-160:],
            "added_by_name": photo.taken_by_name,
            "pages": 1,
            "token": photo.token,
        }
        try:
            with photo.image.open() as stream:
                content = stream.read()
            with Image.open(io.BytesIO(content)) as picture:
                kept_as = picture.format
                if kept_as not in SUFFIXES:
                    written, kept_as = io.BytesIO(), "PNG"
                    picture.save(written, kept_as)
                    content = written.getvalue()
        except OSError:
            content, kept_as = b"", "PNG"
            said["set_aside_because"] = "Its file was missing or broken when photos became attachments."
        suffix, media_type = SUFFIXES[kept_as]
        sha256 = vault.store(content, suffix)
        new = made.create(**said, media_type=media_type, sha256=sha256, size=len(content))
        made.filter(pk=new.pk).update(added_at=photo.added_at)


class Migration(migrations.Migration):
    dependencies = [("wps", "0018_task_worker")]

    operations = [
        migrations.AddField(
            model_name="attachment",
            name="token",
            field=models.UUIDField(blank=True, null=True, unique=True),
        ),
        migrations.RunPython(attach, migrations.RunPython.noop),
        migrations.DeleteModel(name="WeldPhoto"),
    ]
