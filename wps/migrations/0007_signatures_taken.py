from django.db import migrations, models

FIELDS = {
    "author": "SignatureAuthor",
    "approver": "SignatureApprover",
    "witness": "SignatureWitness",
    "issuer": "SignatureIssuer",
}


def write_down_what_was_signed(apps, schema_editor):
    """Signatures taken before get their field and the hash of the file they were taken on: the one before
    in the order in which they were taken. Which roles their people held then stays unknown."""
    taken = apps.get_model("wps", "SignatureTaken")
    before = {}
    for each in taken.objects.select_related("document", "packet").order_by("id"):
        each.field = FIELDS[each.role]
        if each.document_id:
            each.before_sha256 = before.get(each.document_id, each.document.rendered_sha256)
            before[each.document_id] = each.sha256
        else:
            each.before_sha256 = each.packet.assembled_sha256
        each.save(update_fields=["field", "before_sha256"])


class Migration(migrations.Migration):

    dependencies = [
        ('wps', '0006_prequalified'),
    ]

    operations = [
        migrations.AddField(
            model_name='personalcertificate',
            name='accepted_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='personalcertificate',
            name='accepted_because',
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name='personalcertificate',
            name='accepted_by_name',
            field=models.CharField(blank=True, max_length=160),
        ),
        migrations.AddField(
            model_name='signaturetaken',
            name='before_sha256',
            field=models.CharField(blank=True, max_length=64),
        ),
        migrations.AddField(
            model_name='signaturetaken',
            name='field',
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AddField(
            model_name='signaturetaken',
            name='roles',
            field=models.JSONField(null=True),
        ),
        migrations.AlterField(
            model_name='signaturetaken',
            name='sha256',
            field=models.CharField(db_index=True, max_length=64),
        ),
        migrations.AlterField(
            model_name='filecheck',
            name='stored_as',
            field=models.CharField(blank=True, max_length=64),
        ),
        migrations.RunPython(write_down_what_was_signed, migrations.RunPython.noop),
    ]
