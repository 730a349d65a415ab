"""Figures of a setting, of a brood, and of a line over all its settings and broods.

setting: fertility, hatch_of_fertile, hatch_of_set, tray by tray.
brood: guess_right, dressing_share, plucked_clean.
line: all of them, pooled; and fertility of its last candlings (span `84d`), since a line is what it is now.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Callable, Sequence
from collections.abc import Collection as Some
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from barnbook.barn.models import Bird, Brood, Cage, Farm, Processing, Tray
from barnbook.figures import hatching
from barnbook.figures.dressing import Processed, dressing_share, plucked_clean
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.sexing import guess_score
from barnbook.work.cages import Reckoned

ALL = "all"
LATELY_DAYS = 84


@dataclass(frozen=True, slots=True)
class TraySeen:
    """A tray as the figures take it. day: when its eggs were set.  wrong: its numbers contradict one another."""

    day: date
    candled_on: date | None
    tray: hatching.Tray | None


@dataclass(slots=True)
class Bred:
    """What a setting, a brood or a line has to be reckoned from. guesses: (guessed, found since) of each bird."""

    trays: list[TraySeen] = field(default_factory=list)
    guesses: list[tuple[str, str]] = field(default_factory=list)
    guessed_on: list[date] = field(default_factory=list)
    processed: list[Processed] = field(default_factory=list)
    processed_on: list[date] = field(default_factory=list)


def see_trays(farm: Farm, **where: object) -> dict[uuid.UUID, list[TraySeen]]:
    """The trays that answer to `where`, by setting."""
    found: dict[uuid.UUID, list[TraySeen]] = defaultdict(list)
    for row in Tray.objects.of(farm).filter(**where).select_related("setting").order_by("place"):
        found[row.setting_id].append(TraySeen(row.setting.set_on, row.candled_on, read_tray(row)))
    return found


def read_tray(row: Tray) -> hatching.Tray | None:
    """None where its numbers contradict one another: the owner is asked, and no figure stands on them meanwhile."""
    try:
        return hatching.Tray(
            eggs_set=row.eggs,
            hatched=row.hatched if row.hatched_on is not None else None,
            read=row.read,
            clear=row.clear,
            lost=row.broken + row.removed,
        )
    except ValueError:
        return None


def see_bred(farm: Farm, broods: Some[uuid.UUID]) -> dict[uuid.UUID, Bred]:
    """The guesses and the processings of each of these broods that stands."""
    found = {id_: Bred() for id_ in Brood.objects.of(farm).filter(pk__in=broods).values_list("pk", flat=True)}
    guessed = Bird.objects.of(farm).filter(brood_id__in=found).exclude(guess=None).order_by("brood_id", "number")
    for brood, guess, sex, on in guessed.values_list("brood_id", "guess", "sex", "guessed_on"):
        if guess is not None and on is not None:
            found[brood].guesses.append((guess, sex))
            found[brood].guessed_on.append(on)
    _see_processed(Processing.objects.of(farm).filter(brood__in=found), lambda row: found[row.brood])
    return found


def _see_processed(rows: QuerySet[Processing], of: Callable[[Any], Bred]) -> None:
    for row in rows.order_by("day", "entry"):
        bred, birds = of(row), row.hens + row.cocks + row.unsexed
        bred.processed.append(Processed(birds, row.live_g, row.dressed_g, row.pluck))
        bred.processed_on.append(row.day)


def together(parts: Sequence[Bred]) -> Bred:
    whole = Bred()
    for part in parts:
        whole.trays += part.trays
        whole.guesses += part.guesses
        whole.guessed_on += part.guessed_on
        whole.processed += part.processed
        whole.processed_on += part.processed_on
    return whole


def see_line(farm: Farm, line: uuid.UUID) -> Bred:
    broods = Brood.objects.of(farm).filter(line=line).order_by("hatched_on", "pk").values_list("pk", flat=True)
    whole = together(list(see_bred(farm, list(broods)).values()))
    whole.trays = [tray for trays in see_trays(farm, line=line).values() for tray in trays]
    cages = Cage.objects.of(farm).filter(line=line).values("pk")
    _see_processed(Processing.objects.of(farm).filter(brood=None, cage__in=cages), lambda row: whole)
    return whole


def setting_figures(trays: Sequence[TraySeen], *, span: str = ALL) -> list[Reckoned]:
    """Fertility, hatch of fertile and of all eggs set."""
    good = [seen.tray for seen in trays if seen.tray is not None]
    wrong = len(trays) - len(good)
    days = [seen.day for seen in trays]
    made = {
        "fertility": hatching.fertility(good).share,
        "hatch_of_fertile": hatching.hatch_of_fertile(good).share,
        "hatch_of_set": hatching.hatch_of_set(good).share,
    }
    return [Reckoned(name, span, _over(share, days, wrong=wrong)) for name, share in made.items()]


def brood_figures(bred: Bred) -> list[Reckoned]:
    """How far the early guess was right, and what its processed birds gave."""
    return [
        Reckoned("guess_right", ALL, _over(_guess_right(bred.guesses), bred.guessed_on)),
        Reckoned("dressing_share", ALL, _over(dressing_share(bred.processed), bred.processed_on)),
        Reckoned("plucked_clean", ALL, _over(plucked_clean(bred.processed), bred.processed_on)),
    ]


def line_figures(bred: Bred, *, today: date) -> list[Reckoned]:
    """All of a line's: the whole book, and the fertility of the eggs candled lately."""
    since = today - timedelta(days=LATELY_DAYS - 1)
    lately = [seen for seen in bred.trays if seen.candled_on is not None and seen.candled_on >= since]
    recent = [each for each in setting_figures(lately, span=f"{LATELY_DAYS}d") if each.name == "fertility"]
    return [*setting_figures(bred.trays), *recent, *brood_figures(bred)]


def _guess_right(guesses: Sequence[tuple[str, str]]) -> Estimate:
    if not guesses:
        return Estimate("share", n_of="birds", missing=Missing(Reason.NO_RECORDS, "birds guessed", have=0))
    return guess_score([guess for guess, _ in guesses], [sex for _, sex in guesses]).right


def _over(estimate: Estimate, days: Sequence[date], *, wrong: int = 0) -> Estimate:
    """With the days that it stands on; trays whose numbers contradict one another counted among what was left out."""
    left_out = estimate.left_out + ((LeftOut("trays", wrong, "numbers_contradict"),) if wrong else ())
    return replace(estimate, first_day=min(days, default=None), last_day=max(days, default=None), left_out=left_out)
