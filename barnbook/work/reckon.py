"""From what is written down to be reckoned (ToReckon) to figures and dues.

Read and computed outside the farm's lock, written inside it, and only where the ToReckon row that asked for it is
still there: if entries came meanwhile it has been written anew, if another worker was quicker it is gone, and in both
cases what was computed here is thrown away. So it may run twice, in many places at once, or be killed half-way.

This brings NumPy and SciPy: the house imports it in a process of its own only (see `reckoner`).
"""

from __future__ import annotations

import logging
import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import reduce
from operator import or_

from django.db import OperationalError, transaction
from django.db.models import Q
from django.utils import timezone

from barnbook.barn.models import Brood, Cage, Due, Farm, Figure, FigureTable, Line, Parents, Setting, ToReckon, Tray
from barnbook.barn.to_reckon import reckon_again
from barnbook.work.bred_figures import brood_figures, see_bred, see_trays, setting_figures
from barnbook.work.cages import Reckoned, figures_of, see_cages
from barnbook.work.dues import DueNow, dues_of, lay_dues_down, see_broods
from barnbook.work.figure_rows import lay_figures_down
from barnbook.work.house_pages import PAGES, lay_page_down, pages_moved_by, reckon_page
from barnbook.work.life_dues import life_dues, see_lives
from barnbook.work.line_sheet import GATHERED, lay_sheet_down
from barnbook.work.parents import ParentsNow, lay_parents_down, see_parents
from barnbook.work.setting_dues import see_settings, setting_dues
from barnbook.work.waits import WaitNow, lay_waits_down, see_waits

log = logging.getLogger(__name__)

AT_ONCE = 40  # subjects of one transaction
WIDE = Q(subject="farm") | Q(subject__startswith="line/")
OF_THE_HOUSE = reduce(or_, (Q(subject__startswith=f"{name}/") for name in PAGES))


@dataclass(slots=True)
class Outcome:
    """done: subjects reckoned.  failed: ToReckon rows left standing because reckoning them raised; each is logged."""

    done: int = 0
    failed: set[int] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Came:
    """What reckoning one subject came to. Of a subject that stands no more, nothing: its rows are taken away."""

    figures: Sequence[Reckoned] = ()
    dues: Sequence[DueNow] = ()
    parents: Sequence[ParentsNow] = ()
    waits: Mapping[str, WaitNow] | None = None


def never() -> bool:
    return False


def reckon(*, now: Callable[[], datetime] = timezone.now, stop: Callable[[], bool] = never) -> Outcome:
    """Reckon until nothing is left to be reckoned, or `stop` says so."""
    outcome = Outcome()
    while not stop():
        # In no order, so that two workers seldom take the same ones.
        left = ToReckon.objects.exclude(pk__in=outcome.failed).order_by("?")
        first = left.first()
        if first is None:
            break
        farm = Farm.objects.filter(pk=first.farm_id).first()
        if farm is None:
            continue  # taken away a moment ago, and its rows with it
        wide = list(left.filter(WIDE, farm=farm))
        narrow = [] if wide else list(left.filter(farm=farm).exclude(OF_THE_HOUSE)[:AT_ONCE])
        if wide:
            _widen(farm, wide)
        elif narrow:
            _reckon_each(farm, narrow, now(), outcome)
        else:  # pages come last: what they stand on moves them again
            _reckon_page(farm, first, now(), outcome)
    return outcome


def _reckon_each(farm: Farm, rows: Sequence[ToReckon], now: datetime, outcome: Outcome) -> None:
    """Reckon these together; if that raises, one by one, so that a subject that cannot be read stops only itself."""
    try:
        _reckon_some(farm, rows, now, outcome)
    except OperationalError:
        raise
    except Exception:
        if len(rows) == 1:
            log.exception("%s could not be reckoned", rows[0].subject)
            outcome.failed.add(rows[0].pk)
            return
        for row in rows:
            _reckon_each(farm, [row], now, outcome)


def _widen(farm: Farm, rows: Sequence[ToReckon]) -> None:
    """In place of the farm, or of a line, write down its cages, broods and settings; with the farm, also what has
    vanished."""
    with transaction.atomic():
        farm = Farm.objects.locked(farm.pk)
        for row in rows:
            if ToReckon.objects.filter(pk=row.pk).delete()[0]:
                reckon_again(farm, _subjects(farm, row.subject), row.since)


def _subjects(farm: Farm, wide: str) -> set[str]:
    cages, broods, settings = Cage.objects.of(farm), Brood.objects.of(farm), Setting.objects.of(farm)
    extra: set[str] = set()
    if wide == "farm":
        for model in (Figure, Due, FigureTable):
            extra |= set(model.objects.of(farm).values_list("subject", flat=True))
        # Orders are reckoned with their line's store, and with nothing else.
        extra = {subject for subject in extra if not subject.startswith("order/")}
        lines = {f"line/{id_}" for id_ in Line.objects.of(farm).values_list("pk", flat=True)}
        extra |= pages_moved_by(farm, lines)
        extra.add(f"waits/{farm.pk}")
        extra |= {f"setting/{id_}" for id_ in Parents.objects.of(farm).values_list("setting", flat=True)}
    else:
        line = uuid.UUID(wide.split("/")[1])
        extra.add(f"waits/{farm.pk}")
        extra |= pages_moved_by(farm, [wide])
        cages, broods = cages.filter(line_id=line), broods.filter(line_id=line)
        settings = settings.filter(pk__in=Tray.objects.of(farm).filter(line=line).values("setting"))
    return (
        {f"cage/{id_}" for id_ in cages.values_list("pk", flat=True)}
        | {f"brood/{id_}" for id_ in broods.values_list("pk", flat=True)}
        | {f"setting/{id_}" for id_ in settings.values_list("pk", flat=True)}
        | extra
    )


def _reckon_some(farm: Farm, rows: Sequence[ToReckon], now: datetime, outcome: Outcome) -> None:
    today = now.astimezone(farm.tz).date()
    rounds = [each["key"] for each in farm.rounds]
    cages, broods = see_cages(farm, _ids(rows, "cage")), see_broods(farm, _ids(rows, "brood"))
    lives, settings = see_lives(farm, _ids(rows, "cage")), see_settings(farm, _ids(rows, "setting"))
    parents, trays, bred = see_parents(farm, settings), see_trays(farm, setting__in=settings), see_bred(farm, broods)

    def come(name: str, id_: uuid.UUID) -> Came:
        if name == "cage" and id_ in cages:
            return Came(
                figures=figures_of(cages[id_], rounds=rounds, today=today),
                dues=life_dues(lives.get(id_, []), today=today),
            )
        if name == "brood" and id_ in broods:
            return Came(figures=brood_figures(bred[id_]), dues=dues_of(broods[id_], today=today))
        if name == "setting" and id_ in settings:
            figures = setting_figures(trays.get(id_, ()))
            return Came(figures=figures, dues=setting_dues(settings[id_]), parents=parents.get(id_, ()))
        if name == "waits":
            return Came(waits=see_waits(farm, today=today))
        return Came()

    came: dict[str, Came] = {}
    ready = []
    for row in rows:
        name, _, id_text = row.subject.partition("/")
        try:
            came[row.subject] = come(name, uuid.UUID(id_text))
        except Exception:
            log.exception("The figures of %s could not be reckoned; they stay as they are", row.subject)
            outcome.failed.add(row.pk)
        else:
            ready.append(row)
    outcome.done += _write(farm.pk, ready, came, now)


def _reckon_page(farm: Farm, row: ToReckon, now: datetime, outcome: Outcome) -> None:
    """One page at the house. One that cannot be reckoned stays as it is, and is tried again with the next sweep."""
    try:
        body = reckon_page(farm, row.subject, today=now.astimezone(farm.tz).date())
    except OperationalError:
        raise
    except Exception:
        log.exception("%s could not be reckoned; it stays as it is", row.subject)
        outcome.failed.add(row.pk)
        return
    with transaction.atomic():
        farm = Farm.objects.locked(farm.pk)
        if ToReckon.objects.filter(pk=row.pk).delete()[0]:
            lay_page_down(farm, row.subject, body, now=now)
            if row.subject.partition("/")[0] in GATHERED:
                lay_sheet_down(farm, uuid.UUID(row.subject.partition("/")[2]), now=now)
            farm.save(update_fields=["last_seq"])
            outcome.done += 1


def _write(farm_id: uuid.UUID, rows: Sequence[ToReckon], came: dict[str, Came], now: datetime) -> int:
    with transaction.atomic():
        farm = Farm.objects.locked(farm_id)
        asked = ToReckon.objects.filter(pk__in=[row.pk for row in rows])
        still = sorted(asked.values_list("subject", flat=True))
        asked.delete()
        lay_figures_down(farm, {subject: came[subject].figures for subject in still}, now=now)
        lay_dues_down(farm, {subject: came[subject].dues for subject in still})
        lay_parents_down(
            farm,
            {uuid.UUID(subject.split("/")[1]): came[subject].parents for subject in still if subject[:8] == "setting/"},
        )
        for subject in still:
            if (waits := came[subject].waits) is not None:
                lay_waits_down(farm, waits)
        reckon_again(farm, pages_moved_by(farm, still), now)
        farm.save(update_fields=["last_seq"])
    return len(still)


def _ids(rows: Iterable[ToReckon], name: str) -> list[uuid.UUID]:
    found = []
    for row in rows:
        subject, _, id_text = row.subject.partition("/")
        if subject == name:
            found.append(uuid.UUID(id_text))
    return found
