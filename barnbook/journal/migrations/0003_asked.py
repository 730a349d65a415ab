"""Questions by who asks them. Those that stood on entries before are put down under the subjects that may have asked;
each of these says anew what it asks when something of it next changes."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

ASKERS = {
    "counted_twice": "collection/",
    "below_zero": "heads/",
    "more_eggs_than_set": "setting/",
    "more_chicks_than_eggs": "setting/",
    "no_such_tray": "setting/",
    "more_birds_than_chicks": "brood/",
    "bird_in_two_cages": "brood/",
    "gone_twice": "brood/",
}
ON_ARRIVAL = ("more_eggs_than_hens", "clock_a_day_off", "weight_far_off")


def put_down(apps: Any, schema_editor: Any) -> None:
    entries, namings, asked = (apps.get_model("journal", name).objects for name in ("Entry", "Naming", "Asked"))
    for entry in entries.filter(state="stands").exclude(code="").iterator():
        said = {"farm_id": entry.farm_id, "entry_id": entry.id, "code": entry.code, "detail": entry.detail}
        if entry.code in ON_ARRIVAL:
            asked.create(asker=f"arrival/{entry.code}", **said)
        elif entry.code == "band_used_twice" and entry.body.get("band"):
            asked.create(asker=f"band/{entry.body['band']}", **said)
        elif entry.code in ASKERS:
            for naming in namings.filter(entry_id=entry.id, changes=True):
                if naming.subject.startswith(ASKERS[entry.code]):
                    asked.create(asker=naming.subject, **said)


class Migration(migrations.Migration):
    dependencies = [
        ("barn", "0008_egg_store_and_orders"),
        ("journal", "0002_entries_that_wait"),
    ]

    operations = [
        migrations.CreateModel(
            name="Asked",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("asker", models.CharField(max_length=110)),
                ("code", models.CharField(max_length=30)),
                ("detail", models.TextField()),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="journal.entry"
                    ),
                ),
                (
                    "farm",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="+", to="barn.farm"),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["farm", "asker"], name="journal_ask_farm_id_d90548_idx")],
                "constraints": [models.UniqueConstraint(fields=("entry", "asker"), name="one_question_an_asker")],
            },
        ),
        migrations.RunPython(put_down, migrations.RunPython.noop),
    ]
