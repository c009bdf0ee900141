from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("qualification", "0031_passkey")]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="process_defaults",
            field=models.JSONField(blank=True, default=dict),
        ),
    ]
