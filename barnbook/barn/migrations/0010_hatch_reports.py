"""What customers report of shipped eggs: on the shipment; by which links; and what they remark."""

import django.db.models.deletion
from django.db import migrations, models

ROLES = [("owner", "Owner"), ("helper", "Helper"), ("onlooker", "Onlooker"), ("customer", "Customer")]


def to_farm() -> models.ForeignKey:
    return models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="+", to="barn.farm")


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0009_line_claim"),
    ]

    operations = [
        migrations.AlterField(
            model_name="person",
            name="role",
            field=models.CharField(choices=ROLES, max_length=10),
        ),
        migrations.AddField(
            model_name="shipment",
            name="report",
            field=models.JSONField(null=True),
        ),
        migrations.CreateModel(
            name="ReportLink",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("shipment", models.UUIDField()),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
                ("farm", to_farm()),
            ],
            options={
                "indexes": [models.Index(fields=["farm", "shipment"], name="barn_report_farm_id_ad763e_idx")],
            },
        ),
        migrations.CreateModel(
            name="ReportRemark",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("shipment", models.UUIDField(unique=True)),
                ("customer", models.UUIDField(null=True)),
                ("text", models.TextField()),
                ("written_at", models.DateTimeField()),
                ("farm", to_farm()),
            ],
        ),
    ]
