"""A use of a process says by which kind of operation it was.

No log has a line yet where this runs; the one-off default only satisfies the database.
"""

from django.db import migrations, models

OPERATIONS = ["manual", "semiautomatic", "machine", "automatic"]


class Migration(migrations.Migration):

    dependencies = [("qualification", "0003_records")]

    operations = [
        migrations.AddField(
            model_name="processuse",
            name="operation",
            field=models.CharField(
                choices=[
                    ("manual", "Manual"), ("semiautomatic", "Semiautomatic"), ("machine", "Machine"), ("automatic", "Automatic"),
                ],
                default="manual", max_length=16,
            ),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="processuse",
            constraint=models.CheckConstraint(condition=models.Q(operation__in=OPERATIONS), name="process_use_operation_is_known"),
        ),
    ]
