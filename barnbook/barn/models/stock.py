"""The birds and where they stand: lines, cages, the head count of each cage, broods and their birds."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row, RowsOfFarm


class Line(Row):
    """A breeding population kept as one.

    claim: {parts: {class: part}, recessive: [class], met_at_random, said_on}: what is said of its plumage, or None.
    prices: as last told, or None.  plans: [{plan, cage, eggs, cocks, hens, from_day, by_day, note, planned_on}].
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=120)
    other_names = models.JSONField(default=list)
    egg_low_g = models.FloatField(null=True)
    egg_high_g = models.FloatField(null=True)
    weighing_age_days = models.PositiveSmallIntegerField(default=56)
    sexing_from_day = models.PositiveSmallIntegerField(default=42)
    sexing_to_day = models.PositiveSmallIntegerField(default=56)
    plumage = models.JSONField(default=list)
    candle_on_day = models.PositiveSmallIntegerField(null=True, default=7)
    lockdown_on_day = models.PositiveSmallIntegerField(default=14)
    hatch_on_day = models.PositiveSmallIntegerField(default=17)
    cock_cut_g = models.FloatField(null=True)
    hen_cut_g = models.FloatField(null=True)
    laying_life_weeks = models.PositiveSmallIntegerField(null=True)
    hen_breeding_weeks = models.PositiveSmallIntegerField(null=True)
    cock_breeding_weeks = models.PositiveSmallIntegerField(null=True)
    storage_limit_days = models.PositiveSmallIntegerField(default=7)
    note = models.TextField(default="", blank=True)
    claim = models.JSONField(null=True)
    prices = models.JSONField(null=True)
    plans = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "name": self.name,
            "other_names": self.other_names,
            "egg_low_g": self.egg_low_g,
            "egg_high_g": self.egg_high_g,
            "weighing_age_days": self.weighing_age_days,
            "sexing_from_day": self.sexing_from_day,
            "sexing_to_day": self.sexing_to_day,
            "plumage": self.plumage,
            "candle_on_day": self.candle_on_day,
            "lockdown_on_day": self.lockdown_on_day,
            "hatch_on_day": self.hatch_on_day,
            "cock_cut_g": self.cock_cut_g,
            "hen_cut_g": self.hen_cut_g,
            "laying_life_weeks": self.laying_life_weeks,
            "hen_breeding_weeks": self.hen_breeding_weeks,
            "cock_breeding_weeks": self.cock_breeding_weeks,
            "storage_limit_days": self.storage_limit_days,
            "note": self.note,
            "claim": self.claim,
            "prices": self.prices,
            "plans": self.plans,
        }


class Cage(Row):
    """A place birds stand. hens, cocks and unsexed are what the head count comes to; below zero is a
    contradiction that is shown, never clipped. lines: [{from_day, line}]: which line it was of, and since when."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    code = models.CharField(max_length=20)
    walk_row = models.CharField(max_length=40)
    place = models.PositiveIntegerField()
    line = models.ForeignKey(Line, on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="+")
    closed = models.BooleanField(default=False)
    hens = models.IntegerField(default=0)
    cocks = models.IntegerField(default=0)
    unsexed = models.IntegerField(default=0)
    stocked_on = models.DateField(null=True)
    lines = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "code": self.code,
            "row": self.walk_row,
            "place": self.place,
            "line": str(self.line_id) if self.line_id else None,
            "closed": self.closed,
            "hens": self.hens,
            "cocks": self.cocks,
            "unsexed": self.unsexed,
            "stocked_on": self.stocked_on.isoformat() if self.stocked_on else None,
        }


class HeadEvent(models.Model):
    """One change of a cage's head count, in the order in which it happened (`place`).

    brood, from_cage: where birds that were moved in came from; None: from elsewhere, or of another kind.
    """

    class Kind(models.TextChoices):
        MOVED_IN = "moved_in"
        MOVED_OUT = "moved_out"
        DIED = "died"
        CHECKED = "checked"

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    cage = models.UUIDField()
    place = models.PositiveIntegerField()
    day = models.DateField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    hens = models.PositiveIntegerField()
    cocks = models.PositiveIntegerField()
    unsexed = models.PositiveIntegerField()
    brood = models.UUIDField(null=True)
    from_cage = models.UUIDField(null=True)
    entry = models.UUIDField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["farm", "cage", "place"], name="one_head_event_a_place")]


class Brood(Row):
    """The chicks of one hatch of one line, raised together; or birds bought in together.

    setting, trays: the eggs it came of, when it hatched here. plumage: chicks seen, by plumage class ("" where nobody
    looked).
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    line = models.ForeignKey(Line, on_delete=models.DO_NOTHING, db_constraint=False, related_name="+")
    code = models.CharField(max_length=40)
    hatched_on = models.DateField()
    chicks = models.PositiveIntegerField()
    alive = models.IntegerField()
    hens = models.IntegerField(default=0)
    cocks = models.IntegerField(default=0)
    unsure = models.IntegerField(default=0)
    unlooked = models.IntegerField()
    placed = models.IntegerField(default=0)
    setting = models.UUIDField(null=True)
    trays = models.JSONField(default=list)
    plumage = models.JSONField(default=dict)
    bought_in = models.BooleanField(default=False)
    hatch_day_sure = models.BooleanField(default=True)
    quarantine_until = models.DateField(null=True)
    brooder = models.CharField(max_length=80, default="", blank=True)
    note = models.TextField(default="", blank=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "line": str(self.line_id),
            "code": self.code,
            "hatched_on": self.hatched_on.isoformat(),
            "chicks": self.chicks,
            "alive": self.alive,
            "hens": self.hens,
            "cocks": self.cocks,
            "unsure": self.unsure,
            "unlooked": self.unlooked,
            "placed": self.placed,
            "setting": str(self.setting) if self.setting else None,
            "trays": self.trays,
            "plumage": self.plumage,
            "bought_in": self.bought_in,
            "hatch_day_sure": self.hatch_day_sure,
            "quarantine_until": _text(self.quarantine_until),
            "brooder": self.brooder,
            "note": self.note,
        }


class Bird(Row):
    """One animal of a brood. number: what it is called within the brood. numbered_by, numbered_at: who called it so and
    when (a stamp, ms), where somebody did: two birds that two phones numbered without signal may share a number.

    cage: where it was last placed by its id. gone: None while it lives here. banded_by: the entry that put its band on.
    """

    bird = models.UUIDField()
    brood = models.ForeignKey(Brood, on_delete=models.CASCADE, related_name="birds")
    number = models.PositiveIntegerField()
    numbered_by = models.UUIDField(null=True)
    numbered_at = models.BigIntegerField(null=True)
    band = models.CharField(max_length=40, null=True)
    sex = models.CharField(max_length=8, default="unsexed")
    looked_on = models.DateField(null=True)
    last_weight_g = models.FloatField(null=True)
    weighed_on = models.DateField(null=True)
    guess = models.CharField(max_length=8, null=True)
    guessed_by = models.CharField(max_length=10, null=True)
    guessed_on = models.DateField(null=True)
    plumage = models.CharField(max_length=20, null=True)
    decision = models.CharField(max_length=8, null=True)
    decided_on = models.DateField(null=True)
    cage = models.UUIDField(null=True)
    placed_on = models.DateField(null=True)
    gone = models.CharField(max_length=10, null=True)
    gone_on = models.DateField(null=True)
    banded_by = models.UUIDField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["farm", "seq"]),
            models.Index(fields=["bird"]),
            models.Index(fields=["farm", "band"]),
        ]
        constraints = [models.UniqueConstraint(fields=["brood", "bird"], name="a_bird_once_in_its_brood")]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.bird),
            "brood": str(self.brood_id),
            "number": self.number,
            "numbered_by": str(self.numbered_by) if self.numbered_by else None,
            "numbered_at": self.numbered_at,
            "band": self.band,
            "sex": self.sex,
            "looked_on": _text(self.looked_on),
            "last_weight_g": self.last_weight_g,
            "weighed_on": _text(self.weighed_on),
            "guess": self.guess,
            "guessed_by": self.guessed_by,
            "guessed_on": _text(self.guessed_on),
            "plumage": self.plumage,
            "decision": self.decision,
            "decided_on": _text(self.decided_on),
            "cage": str(self.cage) if self.cage else None,
            "placed_on": _text(self.placed_on),
            "gone": self.gone,
            "gone_on": _text(self.gone_on),
        }


class Stay(models.Model):
    """A bird known by its id stood in a cage from a day to a day, both in; to_day None: it stands there still."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    bird = models.UUIDField()
    brood = models.UUIDField()
    cage = models.UUIDField()
    from_day = models.DateField()
    to_day = models.DateField(null=True)

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "cage"]), models.Index(fields=["farm", "brood"])]


def _text(day: date | None) -> str | None:
    return day.isoformat() if day else None
