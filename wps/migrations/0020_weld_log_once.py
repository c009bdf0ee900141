from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("wps", "0019_weld_photos_attached")]

    operations = [
        migrations.AddField(
            model_name="weldevent",
            name="token",
            field=models.UUIDField(blank=True, null=True, unique=True),
        ),
    ]
