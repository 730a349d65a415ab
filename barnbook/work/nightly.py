"""Each night, after 3 in the farm's zone, everything of the farm is reckoned again and its dues are drawn up.

Nothing here happens at a time of its own: it is asked every few minutes which farms have passed 3 o'clock since their
last night. So a laptop that slept through the night makes it good when it wakes.
"""

from __future__ import annotations

import uuid
from datetime import date, datetime, timedelta

from django.db import transaction

from barnbook.barn.models import Farm
from barnbook.barn.to_reckon import reckon_again
from barnbook.work.models import Night

HOUR = 3


def night_of(farm: Farm, now: datetime) -> date:
    """The night that is the farm's last at that time, named by the day that it began: from 3 o'clock on, today's."""
    there = now.astimezone(farm.tz)
    return there.date() if there.hour >= HOUR else there.date() - timedelta(days=1)


def call_up(now: datetime) -> int:
    """Write down that all is to be reckoned, for each farm whose night is not done. Returns how many those were."""
    done = dict(Night.objects.values_list("farm_id", "day"))
    # One of a day to come was done under a wrong clock: it must not hold up those of years.
    waiting = [farm.pk for farm in Farm.objects.all() if done.get(farm.pk) != night_of(farm, now)]
    return sum(_call_up(farm_id, now) for farm_id in waiting)


def _call_up(farm_id: uuid.UUID, now: datetime) -> bool:
    with transaction.atomic():
        farm = Farm.objects.locked(farm_id)
        night = night_of(farm, now)
        if Night.objects.filter(farm=farm, day=night).exists():
            return False  # another worker was first
        Night.objects.update_or_create(farm=farm, defaults={"day": night})
        reckon_again(farm, {"farm"}, now)
        return True
