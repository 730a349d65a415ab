import uuid

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0006_plumage_of_a_bird"),
    ]

    operations = [
        migrations.CreateModel(
            name="Customer",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=120)),
                ("contact", models.TextField(blank=True, default="")),
                ("remarks", models.TextField(blank=True, default="")),
                ("since", models.DateField()),
                (
                    "farm",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="+", to="barn.farm"),
                ),
            ],
        ),
    ]
