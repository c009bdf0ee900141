from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from qualification.records import change_marks


def unwatch(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    change_marks.remove(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("qualification", "0020_photo_place")]

    operations = [
        migrations.CreateModel(
            name="ChangeMark",
            fields=[
                ("name", models.CharField(max_length=120, primary_key=True, serialize=False)),
                ("mark", models.CharField(max_length=32)),
            ],
        ),
        # The triggers come after each migration; going back they have to leave before their table.
        migrations.RunPython(migrations.RunPython.noop, unwatch),
    ]
