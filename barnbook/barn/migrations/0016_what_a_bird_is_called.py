from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0015_public_address_and_unknown_eggs"),
    ]

    operations = [
        migrations.AddField(model_name="bird", name="numbered_by", field=models.UUIDField(null=True)),
        migrations.AddField(model_name="bird", name="numbered_at", field=models.BigIntegerField(null=True)),
    ]
