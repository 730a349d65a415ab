"""Random histories of a small barn: what a few people could write, in any order, for the laws of the journal."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

FIRST_DAY = date(2026, 6, 1)
ROUNDS = ("morning", "evening")


def _id(space: int, n: int) -> str:
    return str(uuid.UUID(int=(0x0197C2A0 << 96) | (7 << 76) | (2 << 62) | (space << 32) | n))


LINES = [_id(1, n) for n in range(2)]
CAGES = [_id(2, n) for n in range(3)]
BROODS = [_id(3, n) for n in range(2)]
BIRDS = {brood: [_id(10 + at, n) for n in range(3)] for at, brood in enumerate(BROODS)}

small = st.integers(0, 6)
cages = st.sampled_from(CAGES)
lines = st.sampled_from(LINES)
broods = st.sampled_from(BROODS)
bands = st.sampled_from([None, "B-1", "B-2"])


@st.composite
def bodies(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """One entry's kind and body."""
    kind = draw(st.sampled_from(sorted(MAKERS)))
    return kind, draw(MAKERS[kind])


def _weight_body(**fields: Any) -> st.SearchStrategy[dict[str, Any]]:
    typed = st.just({"value": "15", "unit": "g"})
    return st.fixed_dictionaries({**fields, "grams": st.sampled_from([14.5, 15.0, 200]), "typed": typed})


@st.composite
def _bird(draw: st.DrawFn) -> dict[str, Any]:
    brood = draw(broods)
    return {"brood": brood, "bird": draw(st.sampled_from(BIRDS[brood])), "band": draw(bands)}


MAKERS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "line": st.fixed_dictionaries(
        {
            "line": lines,
            "name": st.sampled_from(["Slate Barrow", "Fen Gold"]),
            "other_names": st.just([]),
            "egg_low_g": st.sampled_from([None, 12.5]),
            "egg_high_g": st.just(None),
            "weighing_age_days": st.just(56),
            "sexing_from_day": st.just(42),
            "sexing_to_day": st.just(56),
            "note": st.just(""),
        }
    ),
    "cage": st.fixed_dictionaries(
        {
            "cage": cages,
            "code": st.sampled_from(["A1", "A2"]),
            "row": st.just("A"),
            "place": small,
            "line": st.one_of(st.none(), lines),
            "closed": st.booleans(),
        }
    ),
    "brood": st.fixed_dictionaries(
        {
            "brood": broods,
            "line": lines,
            "code": st.just("26-01"),
            "hatched_on": st.just("2026-05-01"),
            "chicks": st.integers(1, 4),
            "note": st.just(""),
        }
    ),
    "birds_placed": st.tuples(cages, st.one_of(st.none(), broods), st.integers(1, 5), small).map(
        lambda t: {"cage": t[0], "brood": t[1], "from_cage": None, "hens": t[2], "cocks": t[3], "unsexed": 0}
    ),
    "egg_count": st.tuples(cages, st.sampled_from(ROUNDS), small).map(
        lambda t: {"cage": t[0], "round": t[1], "eggs": t[2], "cracked": 0, "soiled": 0, "thin_shelled": 0}
    ),
    "cage_passed": st.fixed_dictionaries({"cage": cages, "round": st.sampled_from(ROUNDS), "reason": st.just("")}),
    "found_dead": st.tuples(cages, broods, st.booleans()).map(
        lambda t: {
            "cage": t[0] if t[2] else None,
            "brood": None if t[2] else t[1],
            "hens": 1 if t[2] else 0,
            "cocks": 0,
            "unsexed": 0 if t[2] else 1,
            "note": "",
        }
    ),
    "head_check": st.fixed_dictionaries({"cage": cages, "hens": small, "cocks": small, "unsexed": st.just(0)}),
    "cage_note": st.fixed_dictionaries({"cage": cages, "text": st.just("Straw is wet.")}),
    "egg_weight": _weight_body(cage=cages, eggs=st.integers(1, 3)),
    "bird_weight": st.tuples(_bird(), st.sampled_from([210.0, 305.5])).map(
        lambda t: {**t[0], "grams": t[1], "typed": {"value": str(t[1]), "unit": "g"}}
    ),
    "bird_sexed": st.tuples(_bird(), st.sampled_from(["cock", "hen", "unsure"])).map(
        lambda t: {**t[0], "result": t[1]}
    ),
}


@st.composite
def histories(draw: st.DrawFn, people: int = 2, most: int = 14) -> list[dict[str, Any]]:
    """Entries without author: `by` says which of the people wrote it. A third of them set the barn up, and some are
    strikes of others (or of nothing that will ever come)."""
    entries: list[dict[str, Any]] = []
    setting_up = [
        ("line", {"line": LINES[0]}),
        ("cage", {"cage": CAGES[0], "line": LINES[0]}),
        ("brood", {"line": LINES[0]}),
    ]
    for kind, fixed in setting_up:
        entries.append(_one(draw, len(entries), people, kind, {**draw(MAKERS[kind]), **fixed}))
    for _ in range(draw(st.integers(1, most))):
        kind, body = draw(bodies())
        entries.append(_one(draw, len(entries), people, kind, body))
    for _ in range(draw(st.integers(0, 4))):
        target = draw(st.one_of(st.sampled_from([entry["id"] for entry in entries]), st.just(_id(99, 0))))
        entries.append(_one(draw, len(entries), people, "strike", {"entry": target, "why": ""}))
    return entries


def _one(draw: st.DrawFn, n: int, people: int, kind: str, body: dict[str, Any]) -> dict[str, Any]:
    day = FIRST_DAY + timedelta(days=draw(st.integers(0, 4)))
    return {
        "id": _id(50, n),
        "by": 0 if kind in ("line", "cage") else draw(st.integers(0, people - 1)),
        "device_seq": n + 1,
        "kind": kind,
        "version": 1,
        "day": day.isoformat(),
        "stamp": draw(st.integers(1000, 1004)),  # ties are the interesting case
        "zone": "UTC",
        "body": body,
    }
