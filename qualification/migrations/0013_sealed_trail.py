from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps


def number_entries(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Entries of before the key keep their order."""
    entries = apps.get_model("qualification", "AuditEntry").objects
    for number, (pk,) in enumerate(entries.order_by("id").values_list("pk"), start=1):
        entries.filter(pk=pk).update(number=number)


class Migration(migrations.Migration):
    dependencies = [("qualification", "0012_passes")]

    operations = [
        migrations.AddField("auditentry", "key_name", models.CharField(blank=True, max_length=16, default=""), preserve_default=False),
        migrations.AddField("auditentry", "number", models.PositiveBigIntegerField(null=True)),
        migrations.RunPython(number_entries, migrations.RunPython.noop),
    ]
