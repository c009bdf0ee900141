from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from qualification.records import audit_guard


def guard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    audit_guard.install(schema_editor.connection)


def unguard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    audit_guard.remove(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("qualification", "0013_sealed_trail")]

    operations = [
        migrations.AlterField("auditentry", "number", models.PositiveBigIntegerField(unique=True)),
        migrations.RunPython(guard, unguard),
    ]
