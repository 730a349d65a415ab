"""The pedigree of a line's birds, as far as the book knows it: from each bird's brood, by its trays, to the birds that
stood in the cages when those eggs were laid.

A brood of several trays has an origin of several matings, each with the share of the brood's chicks that hatched in its
tray. Parents not known by their ids are unknown birds, unrelated to all. Birds bought in, and broods whose trays nobody
named, have no parents. Parents of another line are in it too, with theirs.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from barnbook.barn.models import Bird, Brood, Farm, Line, Parents, Tray
from barnbook.figures.pedigree import Mating, Origin, Pedigree, mating, pedigree

COCK, HEN = "cock", "hen"
AN_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class TrayParents:
    """Who stood in a tray's source cage. cocks, hens: known by their ids; the others are unknown.

    chicks: that hatched in the tray; its eggs where no hatch is written.
    """

    cocks: tuple[str, ...]
    hens: tuple[str, ...]
    unknown_cocks: int
    unknown_hens: int
    chicks: int

    def mated(self) -> Mating:
        return mating(cocks=[*self.cocks, *[None] * self.unknown_cocks], hens=[*self.hens, *[None] * self.unknown_hens])


def pedigree_or_why(farm: Farm, line: Line) -> Pedigree | str:
    """The pedigree; or, where its entries contradict one another, the sentence that says so, birds by their names."""
    try:
        return pedigree_of_line(farm, line)
    except ValueError as wrong:
        said = str(wrong)
    birds = Bird.objects.of(farm).filter(bird__in=AN_ID.findall(said)).select_related("brood")
    names = {str(each.bird): each.band or f"no. {each.number} of {each.brood.code}" for each in birds}
    return AN_ID.sub(lambda found: names.get(found[0], found[0]), said)


def pedigree_of_line(farm: Farm, line: Line) -> Pedigree:
    """All birds of the line's broods, and their ancestors. Raises ValueError where entries contradict one another: a
    bird that is its own ancestor, or cock here and hen there."""
    birds: dict[str, uuid.UUID] = {}
    origins: dict[uuid.UUID, Origin] = {}
    wanted = set(Brood.objects.of(farm).filter(line=line).values_list("pk", flat=True))
    while wanted:
        broods = Brood.objects.of(farm).in_bulk(list(wanted))
        trays = _trays(farm, broods.values())
        for id_, brood in broods.items():
            origins[id_] = origin_of([trays[key] for key in _keys(brood) if key in trays], known=len(_keys(brood)))
        rows = Bird.objects.of(farm).filter(brood__in=broods).order_by("brood_id", "number")
        birds |= {str(bird): brood for bird, brood in rows.values_list("bird", "brood_id")}
        named = {name for tray in trays.values() for name in (*tray.cocks, *tray.hens)} - set(birds)
        of_others = Bird.objects.of(farm).filter(bird__in=named).values_list("brood_id", flat=True)
        wanted = set(of_others) - set(origins)
    return pedigree({bird: origins.get(brood) for bird, brood in birds.items()})


def origin_of(trays: Sequence[TrayParents], *, known: int) -> Origin:
    """Of a brood from these trays. known: trays that the brood names; those without parents leave their part open."""
    chicks = sum(tray.chicks for tray in trays)
    if not trays or chicks == 0 or len(trays) < known:
        return None
    return [(tray.chicks / chicks, tray.mated()) for tray in trays if tray.chicks > 0]


Key = tuple[uuid.UUID, str]


def _keys(brood: Brood) -> list[Key]:
    return [(brood.setting, str(tray)) for tray in brood.trays] if brood.setting else []


def _trays(farm: Farm, broods: Iterable[Brood]) -> Mapping[Key, TrayParents]:
    """By setting and tray, of those whose source cage is known."""
    keys = {key for brood in broods for key in _keys(brood)}
    settings = {setting for setting, _ in keys}
    hatched = {
        (setting, str(tray)): chicks if day is not None else eggs
        for setting, tray, chicks, day, eggs in Tray.objects.of(farm)
        .filter(setting__in=settings)
        .values_list("setting_id", "tray", "hatched", "hatched_on", "eggs")
    }
    rows = [
        row for row in Parents.objects.of(farm).filter(setting__in=settings) if (row.setting, str(row.tray)) in keys
    ]
    named = {bird for row in rows for bird in row.birds}
    sexes = {str(bird): sex for bird, sex in Bird.objects.of(farm).filter(bird__in=named).values_list("bird", "sex")}
    return {
        (row.setting, str(row.tray)): _parents(row, sexes, hatched.get((row.setting, str(row.tray)), 0)) for row in rows
    }


def _parents(row: Parents, sexes: Mapping[str, str], chicks: int) -> TrayParents:
    cocks = tuple(bird for bird in row.birds if sexes.get(bird) == COCK)
    hens = tuple(bird for bird in row.birds if sexes.get(bird) == HEN)
    return TrayParents(
        cocks,
        hens,
        max((row.cocks_high or 0) - len(cocks), 0),
        max((row.hens_high or 0) - len(hens), 0),
        chicks,
    )
