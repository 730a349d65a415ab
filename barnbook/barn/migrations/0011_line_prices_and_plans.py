from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0010_hatch_reports"),
    ]

    operations = [
        migrations.AddField(model_name="line", name="prices", field=models.JSONField(null=True)),
        migrations.AddField(model_name="line", name="plans", field=models.JSONField(default=list)),
    ]
