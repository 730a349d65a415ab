"""The names that a notebook's cells may mean: cages by code, lines by any of their names, living birds by band."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from barnbook.barn.models import Bird, Cage, Collection, Farm, Line


@dataclass(slots=True)
class WhatStands:
    """All keys are in small letters. banded: band -> [(bird, brood)] of birds that are still here."""

    farm: Farm
    cages: dict[str, str] = field(default_factory=dict)
    code_of: dict[str, str] = field(default_factory=dict)
    lines: dict[str, str] = field(default_factory=dict)
    banded: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    rounds: dict[str, str] = field(default_factory=dict)
    _counts: dict[int, set[tuple[str, date, str]]] = field(default_factory=dict)

    @classmethod
    def of(cls, farm: Farm) -> WhatStands:
        stands = cls(farm)
        for cage in Cage.objects.of(farm).order_by("closed"):  # of two with one code, the one that is open
            stands.cages.setdefault(cage.code.strip().lower(), str(cage.pk))
            stands.code_of[str(cage.pk)] = cage.code
        for line in Line.objects.of(farm):
            for name in (line.name, *line.other_names):
                stands.lines.setdefault(name.strip().lower(), str(line.pk))
        for bird in Bird.objects.of(farm).filter(gone=None).exclude(band=None).exclude(band=""):
            stands.banded.setdefault((bird.band or "").strip().lower(), []).append((str(bird.bird), str(bird.brood_id)))
        for each in farm.rounds:
            for name in (each["key"], each["name"]):
                stands.rounds.setdefault(name.strip().lower(), each["key"])
        return stands

    @property
    def round_keys(self) -> list[str]:
        return [each["key"] for each in self.farm.rounds]

    def counts(self, year: int) -> set[tuple[str, date, str]]:
        """(cage, day, round) of what was counted in that year."""
        if year not in self._counts:
            rows = Collection.objects.of(self.farm).filter(day__year=year).values_list("cage", "day", "round")
            self._counts[year] = {(str(cage), day, round_) for cage, day, round_ in rows}
        return self._counts[year]
