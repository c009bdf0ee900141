from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("qualification", "0015_code_decisions")]

    operations = [
        migrations.AddField("shop", "server_address", models.URLField(blank=True, default=""), preserve_default=False),
    ]
