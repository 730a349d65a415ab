from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("barn", "0014_calendar_link")]

    operations = [
        migrations.AddField(
            model_name="house",
            name="public_address",
            field=models.CharField(blank=True, default="", max_length=300),
        ),
        migrations.AddField(
            model_name="canpromise",
            name="unknown_before",
            field=models.PositiveIntegerField(default=0),
        ),
    ]
