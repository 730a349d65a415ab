"""Writing down what must be reckoned again."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from barnbook.barn.models import Farm, ToReckon

AT_ONCE = 500  # names in one query


def reckon_again(farm: Farm, subjects: Collection[str], now: datetime) -> None:
    """Write down that the figures and dues of these subjects must be computed again. Hold the farm's lock.

    A subject that is written down already is written down anew, as another row: so whoever is reckoning it at this
    moment finds its own row gone, and knows that what it read is no longer what stands.
    """
    names = sorted(subjects)
    for first in range(0, len(names), AT_ONCE):
        some = names[first : first + AT_ONCE]
        ToReckon.objects.of(farm).filter(subject__in=some).delete()
        ToReckon.objects.bulk_create([ToReckon(farm=farm, subject=subject, since=now) for subject in some])
