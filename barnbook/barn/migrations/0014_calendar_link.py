import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0013_outlays"),
    ]

    operations = [
        migrations.CreateModel(
            name="CalendarLink",
            fields=[
                (
                    "farm",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to="barn.farm",
                    ),
                ),
                ("token", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
            ],
        ),
    ]
