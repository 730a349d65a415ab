"""A farm keeps the settings that it was made with: they stand again once every entry that gave others is struck."""

from typing import Any

from django.db import migrations, models

SETTINGS = ("name", "zone", "weight_unit", "rounds")


def begin_with_what_stands(apps: Any, schema_editor: Any) -> None:
    for farm in apps.get_model("barn", "Farm").objects.all():
        farm.begun_with = {name: getattr(farm, name) for name in SETTINGS}
        farm.save(update_fields=["begun_with"])


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0003_waits"),
    ]

    operations = [
        migrations.AddField(model_name="farm", name="begun_with", field=models.JSONField(default=dict)),
        migrations.RunPython(begin_with_what_stands, migrations.RunPython.noop),
    ]
