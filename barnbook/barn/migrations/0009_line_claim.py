from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0008_egg_store_and_orders"),
    ]

    operations = [
        migrations.AddField(model_name="line", name="claim", field=models.JSONField(null=True)),
    ]
