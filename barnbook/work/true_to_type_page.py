"""True to type at the house: the shares of a line's plumage classes, its claim tested, and what culling would do.

Chicks of one cage have their parents in common, so they are counted by the cage that their eggs came from; a brood of
several cages pooled, whose chicks nobody can tell apart, is a group of its own with the other broods of just those.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from barnbook.barn.models import Brood, Cage, Farm, Line, Tray
from barnbook.figures import dirichlet_multinomial as grouped
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.recessive import (
    Mate,
    allele_frequency,
    carrier_probability,
    carriers_among_normal,
    chicks_to_clear,
    frequency_after_culling,
    generations_to_reach,
)
from barnbook.figures.true_to_type import MIN_CAGES, ClaimTest, claim_test, class_shares, smallest_hatch
from barnbook.work.growth_of_lines import see_weighings
from barnbook.work.off_types import OffTypeWeight, off_type_weights, see_plumage, type_of
from barnbook.work.shown import rounded, shown, six
from barnbook.work.standard_weights import at_standard_age, curves_of

NOT_LOOKED = ""
OTHER = "other"  # beside the one class of a line that names one: how rare any other look is at most
SEED = 20_260_301
RARE_SHARES = (0.005, 0.01, 0.02, 0.05)
GENERATIONS = range(11)
RARE_ENOUGH = 0.01  # of the chicks: what culling is asked to bring a class down to
SURE = (0.95, 0.99)
CARRIER_BEFORE = ((0.5, "one_parent_carries"), (2 / 3, "both_parents_carry"))
CLEAR_CHICKS = (0, 5, 10, 15, 20, 30, 40)


@dataclass(frozen=True, slots=True)
class Group:
    """Chicks whose eggs came from the same cages. chicks: by plumage class."""

    cages: tuple[str, ...]
    chicks: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class PlumageSeen:
    """What the barn knows of a line's plumage.

    classes: as the line names them.  not_looked: chicks whose plumage nobody wrote down.  claim: as last said, or None.
    """

    classes: Sequence[Mapping[str, Any]]
    groups: Sequence[Group]
    first_day: date | None
    last_day: date | None
    not_looked: int
    claim: Mapping[str, Any] | None
    weights: Sequence[OffTypeWeight]


def see_true_to_type(farm: Farm, line: Line) -> PlumageSeen:
    broods = list(Brood.objects.of(farm).filter(line=line, bought_in=False).order_by("hatched_on", "pk"))
    looked_at = [brood for brood in broods if any(n for key, n in brood.plumage.items() if key != NOT_LOOKED)]
    sources = _sources(farm, looked_at)
    table: dict[tuple[str, ...], dict[str, int]] = {}
    for brood in looked_at:
        group = table.setdefault(sources[brood.pk] or (f"brood {brood.code}",), {})
        for key, chicks in brood.plumage.items():
            if key != NOT_LOOKED:
                group[key] = group.get(key, 0) + chicks
    days = [brood.hatched_on for brood in looked_at]
    return PlumageSeen(
        classes=line.plumage,
        groups=[Group(cages, chicks) for cages, chicks in table.items()],
        first_day=min(days, default=None),
        last_day=max(days, default=None),
        not_looked=sum(max(brood.chicks - _looked(brood), 0) for brood in broods),
        claim=line.claim,
        weights=_weights(farm, line),
    )


def _looked(brood: Brood) -> int:
    return sum(int(chicks) for key, chicks in brood.plumage.items() if key != NOT_LOOKED)


def _sources(farm: Farm, broods: Sequence[Brood]) -> dict[uuid.UUID, tuple[str, ...]]:
    """The codes of the cages from which each brood's eggs came; () where nobody knows."""
    trays: dict[tuple[uuid.UUID | None, str], uuid.UUID | None] = {
        (setting, str(tray)): cage
        for setting, tray, cage in Tray.objects.of(farm)
        .filter(setting__in={brood.setting for brood in broods if brood.setting})
        .values_list("setting_id", "tray", "cage")
    }
    codes: dict[uuid.UUID | None, str] = dict(Cage.objects.of(farm).values_list("pk", "code"))
    found = {}
    for brood in broods:
        cages = {trays.get((brood.setting, tray)) for tray in brood.trays}
        found[brood.pk] = () if None in cages else tuple(sorted(codes.get(cage, "?") for cage in cages))
    return found


def _weights(farm: Farm, line: Line) -> list[OffTypeWeight]:
    kind = type_of(line)
    if kind is None or len(line.plumage) < 2:
        return []
    weighed = see_weighings(farm, line)
    birds = at_standard_age(weighed, curves_of(weighed))
    plumage = see_plumage(farm, [each.bird for each in birds])
    return off_type_weights(birds, plumage, kind=kind, off_types=[e["key"] for e in line.plumage if not e["is_type"]])


def true_to_type_page(seen: PlumageSeen) -> dict[str, Any]:
    """The page of one line; see docs/wire.md."""
    named = [str(each["key"]) for each in seen.classes]
    unnamed = sorted({key for group in seen.groups for key in group.chicks} - set(named))
    keys = [*named, *unnamed] if len(named) + len(unnamed) != 1 else [*named, *unnamed, OTHER]
    words = {str(each["key"]): each for each in seen.classes}
    table = [[group.chicks.get(key, 0) for key in keys] for group in seen.groups]
    shares = _shares(table, keys, seen) if keys else {}
    claim = seen.claim or {"parts": {}, "recessive": [], "met_at_random": False}
    return {
        "classes": [
            {
                "key": key,
                "words": words[key]["words"] if key in words else "any other" if key == OTHER else key,
                "is_type": bool(key in words and words[key]["is_type"]),
                "named": key in words,
                "chicks": sum(row[at] for row in table),
                "claimed": claim["parts"].get(key, 0) / sum(claim["parts"].values()) if claim["parts"] else None,
                "share": shown(shares[key], "plumage_share", key),
            }
            for at, key in enumerate(keys)
        ],
        "groups": [{"cages": group.cages, "chicks": row} for group, row in zip(seen.groups, table, strict=True)],
        "not_looked": seen.not_looked,
        "claim": _claim(table, keys, claim, seen),
        "rare": [{"share": share, "chicks": smallest_hatch(share)} for share in RARE_SHARES],
        "recessive": [_recessive(key, keys, table, claim, seen) for key in claim["recessive"] if key in keys],
        "clear": [{"mate": str(mate), "chicks": [chicks_to_clear(mate, sure=sure) for sure in SURE]} for mate in Mate],
        "carrier": [_carrier(mate) for mate in Mate],
        "weights": [each.page() for each in seen.weights],
    }


def _shares(table: Sequence[Sequence[int]], keys: Sequence[str], seen: PlumageSeen) -> dict[str, Estimate]:
    left_out = (LeftOut("chicks", seen.not_looked, "plumage_not_seen"),) if seen.not_looked else ()
    found = class_shares(table or [[0] * len(keys)], classes=keys)
    return {key: _over(each, seen, left_out) for key, each in found.items()}


def _over(estimate: Estimate, seen: PlumageSeen, left_out: tuple[LeftOut, ...] = ()) -> Estimate:
    return replace(estimate, first_day=seen.first_day, last_day=seen.last_day, left_out=left_out)


def _claim(
    table: Sequence[Sequence[int]], keys: Sequence[str], claim: Mapping[str, Any], seen: PlumageSeen
) -> dict[str, Any] | None:
    """The claim's test. None: nothing is claimed, or there is one class and nothing to test."""
    parts = [float(claim["parts"].get(key, 0)) for key in keys]
    if not any(parts):
        return None
    found = claim_test(table or [[0] * len(keys)], claim=parts, seed=SEED)
    return {
        "said_on": claim.get("said_on"),
        "p": _p(found, seen),
        "error": six(found.monte_carlo_error),
        "groups": len(table),
    }


def _p(found: ClaimTest, seen: PlumageSeen) -> dict[str, Any]:
    # A chance is no estimate of anything in the barn: it has no limits, but a method and what it stands on.
    estimate = Estimate("share", found.p_value, n=found.n, n_of="chicks", method=found.method, missing=found.missing)
    return shown(_over(estimate, seen), "claim_holds", "")


def _recessive(
    key: str, keys: Sequence[str], table: Sequence[Sequence[int]], claim: Mapping[str, Any], seen: PlumageSeen
) -> dict[str, Any]:
    frequency = _over(_frequency(keys.index(key), table, at_random=bool(claim["met_at_random"])), seen)
    carriers = _over(carriers_among_normal(frequency), seen)
    limits = [q for q in (frequency.value, frequency.low, frequency.high) if q is not None]
    return {
        "key": key,
        "frequency": shown(frequency, "allele_frequency", key),
        "carriers": shown(carriers, "carriers", key),
        # generations of culling, share of chicks that still show it: likely, low, high
        "culled": [[t, *rounded(frequency_after_culling(q, generations=t) ** 2 for q in limits)] for t in GENERATIONS]
        if len(limits) == 3
        else [],
        "rare_enough": RARE_ENOUGH,
        "generations": [generations_to_reach(q, target=RARE_ENOUGH**0.5) for q in limits] if limits else [],
    }


def _frequency(at: int, table: Sequence[Sequence[int]], *, at_random: bool) -> Estimate:
    two = np.array([[row[at], sum(row) - row[at]] for row in table if sum(row)], dtype=np.int64).reshape(-1, 2)
    shown_, chicks = int(two[:, 0].sum()), int(two.sum())
    if at_random and 1 < len(two) < MIN_CAGES:
        missing = Missing(Reason.TOO_FEW_GROUPS, "cages", len(two), MIN_CAGES)
        return Estimate("share", n=chicks, n_of="chicks", missing=missing)
    effect = 1.0
    if len(two) >= MIN_CAGES:
        effect = float(grouped.design_effect(two.sum(axis=1), rho=grouped.likeness(two)))
    return allele_frequency(shown_, chicks, random_mating=at_random, design_effect=max(effect, 1.0))


def _carrier(mate: Mate) -> dict[str, Any]:
    """How likely a cock still carries it, after so many test chicks of which none showed it."""
    return {
        "mate": str(mate),
        "before": [name for _, name in CARRIER_BEFORE],
        "left": [
            [n, *rounded(carrier_probability(before=p, mate=mate, clear_chicks=n) for p, _ in CARRIER_BEFORE)]
            for n in CLEAR_CHICKS
        ],
    }
