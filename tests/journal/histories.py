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
SETTINGS = [_id(4, n) for n in range(2)]
TRAYS = [_id(5, n) for n in range(3)]  # any of them in any setting: one that is not there is asked about
TREATMENTS = [_id(6, n) for n in range(2)]
ORDERS = [_id(7, n) for n in range(2)]
SHIPMENTS = [_id(8, n) for n in range(2)]
DAYS_LAID = ("2026-05-31", "2026-06-01", "2026-06-02", None)

QUESTIONS = ("below_zero", "more_birds_than_chicks", "band_used_twice", "gone_twice", "more_eggs_than_set")

small = st.integers(0, 6)
cages = st.sampled_from(CAGES)
lines = st.sampled_from(LINES)
broods = st.sampled_from(BROODS)
settings = st.sampled_from(SETTINGS)
trays = st.sampled_from(TRAYS)
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


@st.composite
def _called(draw: st.DrawFn) -> dict[str, Any]:
    """One bird with what it is called, or as an older phone writes it."""
    number = draw(st.sampled_from([{}, {"number": None}, {"number": 1}, {"number": 2}, {"number": 14}]))
    return {**draw(_bird()), **number}


@st.composite
def _named(draw: st.DrawFn, brood: str | None = None) -> list[dict[str, Any]]:
    """None, one or two birds known by their ids; of that brood, if one is given."""
    where = brood or draw(broods)
    return [
        {"bird": bird, "brood": where}
        for bird in draw(st.lists(st.sampled_from(BIRDS[where]), max_size=2, unique=True))
    ]


@st.composite
def _leaving(draw: st.DrawFn) -> dict[str, Any]:
    """Birds that die or leave, from a cage or a brood; one more than those named."""
    brood = draw(st.one_of(st.none(), broods))
    birds = draw(_named(brood))
    sex = draw(st.sampled_from(["hens", "cocks", "unsexed"]))
    return {
        "cage": None if brood else draw(cages),
        "brood": brood,
        **{"hens": 0, "cocks": 0, "unsexed": 0, sex: len(birds) + 1},
        "birds": birds,
        "note": "",
    }


@st.composite
def _setting(draw: st.DrawFn) -> dict[str, Any]:
    chosen = draw(st.lists(trays, min_size=1, max_size=2, unique=True))
    laid = st.sampled_from([[{"laid_on": None, "eggs": 3}], [{"laid_on": "2026-05-30", "eggs": 2}]])
    return {
        "setting": draw(settings),
        "code": "S-1",
        "incubator": "",
        "set_on": "2026-06-01",
        "trays": [
            {
                "tray": tray,
                "name": str(at),
                "line": draw(lines),
                "cage": draw(st.one_of(st.none(), cages)),
                "eggs": draw(laid),
            }
            for at, tray in enumerate(chosen)
        ],
        "note": "",
    }


@st.composite
def _eggs(draw: st.DrawFn, *, order: bool = False, least: int = 1, seen: bool = False) -> list[dict[str, Any]]:
    """Eggs of one or two days of lay of lines, each once."""
    days = DAYS_LAID[:3] if seen else DAYS_LAID
    places = draw(st.lists(st.tuples(lines, st.sampled_from(days)), min_size=1, max_size=2, unique=True))
    found = [{"line": line, "laid_on": day, "eggs": draw(st.integers(least, 5))} for line, day in places]
    return [{"order": draw(st.sampled_from([None, *ORDERS])), **each} for each in found] if order else found


LINE = {
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
LINE_2 = LINE | {
    "plumage": st.just([{"key": "slate", "words": "slate blue", "is_type": True}]),
    "candle_on_day": st.sampled_from([None, 8]),
    "lockdown_on_day": st.just(14),
    "hatch_on_day": st.just(17),
    "cock_cut_g": st.just(None),
    "hen_cut_g": st.just(310.0),
    "laying_life_weeks": st.just(112),
    "hen_breeding_weeks": st.just(41),
    "cock_breeding_weeks": st.just(None),
    "storage_limit_days": st.just(7),
}


@st.composite
def _reported(draw: st.DrawFn) -> dict[str, Any]:
    """What a customer says of one line; sometimes of more eggs than were packed."""
    hatched = draw(st.one_of(st.none(), st.integers(0, 3)))
    return {
        "line": draw(lines),
        "broken": draw(st.one_of(st.none(), small)),
        "set": None if hatched is None else draw(st.integers(3, 6)),
        "clear": None,
        "hatched": hatched,
        "chicks": [{"plumage": "slate", "chicks": hatched}] if hatched else [],
    }


MAKERS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "farm": st.fixed_dictionaries(
        {
            "name": st.sampled_from(["Three Alders", "Four Alders"]),
            "zone": st.sampled_from(["America/New_York", "Europe/Vienna"]),
            "weight_unit": st.just("g"),
            "rounds": st.sampled_from([False, True]).map(
                lambda after_lay: [{"key": key, "name": key, "after_lay": after_lay} for key in ROUNDS]
            ),
        }
    ),
    "line": st.one_of(st.fixed_dictionaries(LINE), st.fixed_dictionaries(LINE_2)),
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
    "birds_placed": st.tuples(
        cages,
        st.one_of(st.none(), broods),
        st.one_of(st.none(), cages),
        st.integers(2, 5),
        small,
        st.one_of(st.none(), _named()),
    ).map(
        lambda t: {
            "cage": t[0],
            "brood": t[1],
            "from_cage": t[2] if t[1] is None and t[2] != t[0] else None,
            "hens": t[3],
            "cocks": t[4],
            "unsexed": 0,
            **({} if t[5] is None else {"birds": t[5]}),
        }
    ),
    "egg_count": st.tuples(cages, st.sampled_from(ROUNDS), small).map(
        lambda t: {"cage": t[0], "round": t[1], "eggs": t[2], "cracked": 0, "soiled": 0, "thin_shelled": 0}
    ),
    "cage_passed": st.fixed_dictionaries({"cage": cages, "round": st.sampled_from(ROUNDS), "reason": st.just("")}),
    "found_dead": st.tuples(_leaving(), st.booleans()).map(
        lambda t: t[0] if t[1] else {name: value for name, value in t[0].items() if name != "birds"}
    ),
    "head_check": st.fixed_dictionaries({"cage": cages, "hens": small, "cocks": small, "unsexed": st.just(0)}),
    "cage_note": st.fixed_dictionaries({"cage": cages, "text": st.just("Straw is wet.")}),
    "egg_weight": _weight_body(cage=cages, eggs=st.integers(1, 3)),
    "bird_weight": st.tuples(_called(), st.sampled_from([210.0, 305.5])).map(
        lambda t: {**t[0], "grams": t[1], "typed": {"value": str(t[1]), "unit": "g"}}
    ),
    "bird_sexed": st.tuples(_called(), st.sampled_from(["cock", "hen", "unsure"])).map(
        lambda t: {**t[0], "result": t[1]}
    ),
    "eggs_set": _setting(),
    "candled": st.tuples(settings, trays, small, st.integers(0, 2)).map(
        lambda t: {
            "setting": t[0],
            "tray": t[1],
            "read": t[2] + t[3],
            "clear": t[3],
            "dead_early": 0,
            "unread": 1,
            "broken": 0,
            "removed": 0,
            "note": "",
        }
    ),
    "lockdown": st.fixed_dictionaries({"setting": settings, "note": st.just("")}),
    "hatched": st.tuples(settings, trays, small).map(
        lambda t: {
            "setting": t[0],
            "tray": t[1],
            "hatched": t[2],
            "pipped_dead": 0,
            "dead_in_shell": 1,
            "note": "",
        }
    ),
    "brood_hatched": st.fixed_dictionaries(
        {
            "brood": broods,
            "setting": settings,
            "trays": st.lists(trays, min_size=1, max_size=2, unique=True),
            "line": lines,
            "code": st.just("26-02"),
            "hatched_on": st.just("2026-05-02"),
            "note": st.just(""),
        }
    ),
    "chicks_seen": st.fixed_dictionaries(
        {
            "brood": broods,
            "setting": st.one_of(st.none(), settings),
            "plumage": st.sampled_from([None, "slate", "fawn"]),
            "chicks": st.integers(1, 3),
        }
    ),
    "birds_banded": st.tuples(broods, st.integers(1, 3)).map(
        lambda t: {
            "brood": t[0],
            "birds": [{"bird": bird, "band": f"B-{at}"} for at, bird in enumerate(BIRDS[t[0]][: t[1]])],
        }
    ),
    "sex_guessed": st.tuples(_called(), st.sampled_from(["cock", "unsure"]), st.sampled_from(["foam", "feathers"])).map(
        lambda t: {**t[0], "guess": t[1], "by": t[2]}
    ),
    "brooder_moved": st.fixed_dictionaries(
        {"brood": broods, "to": st.sampled_from(["brooder 1", "brooder 2"]), "note": st.just("")}
    ),
    "injured": st.tuples(broods, st.integers(0, 2)).map(
        lambda t: {"cage": None, "brood": t[0], "bird": BIRDS[t[0]][t[1]], "number": 1, "text": "a sore foot"}
    ),
    "lights_and_heat": st.fixed_dictionaries(
        {
            "row": st.none(),
            "brood": st.one_of(st.none(), broods),
            "light_hours": st.just(14.5),
            "temperature_c": st.none(),
            "note": st.just(""),
        }
    ),
    "birds_weighed": _weight_body(brood=broods, hens=st.integers(1, 3), cocks=small, unsexed=st.just(0)),
    "bird_decided": st.tuples(_bird(), st.sampled_from(["keep", "process", "hold"])).map(
        lambda t: {"bird": t[0]["bird"], "brood": t[0]["brood"], "decision": t[1], "note": ""}
    ),
    "plumage_seen": st.tuples(_bird(), st.sampled_from(["slate", "fawn"])).map(
        lambda t: {"bird": t[0]["bird"], "brood": t[0]["brood"], "plumage": t[1]}
    ),
    "incubator_read": st.fixed_dictionaries(
        {
            "setting": settings,
            "temperature_c": st.sampled_from([None, 37.6]),
            "humidity_percent": st.just(55.0),
            "note": st.just(""),
        }
    ),
    "processed": st.tuples(_leaving(), st.one_of(st.none(), st.integers(1, 5))).map(
        lambda t: {
            **t[0],
            "live_g": 290.0,
            "live_typed": {"value": "290", "unit": "g"},
            "dressed_g": None,
            "dressed_typed": None,
            "pluck": t[1],
        }
    ),
    "birds_sold": _leaving(),
    "birds_bought_in": st.fixed_dictionaries(
        {
            "brood": broods,
            "line": lines,
            "code": st.just("in 1"),
            "hatched_on": st.just("2026-04-02"),
            "hatch_day_sure": st.booleans(),
            "hens": st.integers(1, 3),
            "cocks": small,
            "unsexed": st.just(0),
            "quarantine_until": st.sampled_from([None, "2026-06-20"]),
            "note": st.just(""),
        }
    ),
    "treated": st.tuples(st.sampled_from(TREATMENTS), cages, st.sampled_from([None, "2026-06-12"])).map(
        lambda t: {
            "treatment": t[0],
            "cage": t[1],
            "brood": None,
            "line": None,
            "what": "mites",
            "from_day": "2026-06-01",
            "to_day": None,
            "eggs_until": t[2],
            "meat_until": "2026-06-20",
            "note": "",
        }
    ),
    "plumage_claimed": st.fixed_dictionaries(
        {
            "line": lines,
            "parts": st.sampled_from([[], [{"key": "slate", "part": 97.0}, {"key": "white", "part": 3.0}]]),
            "recessive": st.sampled_from([[], ["white"]]),
            "met_at_random": st.booleans(),
            "note": st.just(""),
        }
    ),
    "prices_told": st.fixed_dictionaries(
        {
            "line": lines,
            "currency": st.just("EUR"),
            "feed_per_kg": st.sampled_from([0.7, 0.8]),
            "cock_feed_g_a_day": st.just(28.0),
            "hen_feed_g_a_day": st.just(31.0),
            "sold_by": st.sampled_from(["live_kg", "dressed_kg", "bird"]),
            "price": st.just(4.0),
            "labour_a_bird_day": st.just(0.0),
            "place_a_bird_day": st.just(0.01),
            "note": st.just(""),
        }
    ),
    "setting_planned": st.fixed_dictionaries(
        {
            "plan": st.sampled_from([_id(9, 1), _id(9, 2)]),
            "line": lines,
            "cage": st.one_of(st.none(), cages),
            "eggs": st.sampled_from([0, 20, 34]),
            "cocks": st.just(1),
            "hens": small,
            "from_day": st.just("2026-06-10"),
            "by_day": st.sampled_from(["2026-06-17", "2026-06-20"]),
            "note": st.just(""),
        }
    ),
    "store_seen": st.fixed_dictionaries({"eggs": _eggs(least=0, seen=True), "note": st.just("")}),
    "eggs_out": st.fixed_dictionaries(
        {"how": st.sampled_from(["eaten", "sold_to_eat", "thrown_away"]), "eggs": _eggs(), "note": st.just("")}
    ),
    "order_taken": st.fixed_dictionaries(
        {
            "order": st.sampled_from(ORDERS),
            "code": st.just("26-1"),
            "customer": st.sampled_from([None, _id(9, 0)]),
            "line": lines,
            "eggs": st.integers(1, 5),
            "wanted_by": st.just("2026-06-10"),
            "oldest_days": st.sampled_from([None, 5]),
            "note": st.just(""),
        }
    ),
    "promised": st.fixed_dictionaries(
        {
            "order": st.sampled_from(ORDERS),
            "eggs": st.integers(1, 5),
            "for_day": st.just("2026-06-10"),
            "sure": st.sampled_from([0.9, 0.97]),
        }
    ),
    "order_withdrawn": st.fixed_dictionaries({"order": st.sampled_from(ORDERS), "why": st.just("")}),
    "packed": st.fixed_dictionaries(
        {
            "shipment": st.sampled_from(SHIPMENTS),
            "code": st.just("P-1"),
            "customer": st.none(),
            "eggs": _eggs(order=True),
            "boxes": st.none(),
            "box_holds": st.none(),
            "packing": st.just(""),
            "note": st.just(""),
        }
    ),
    "sent": st.fixed_dictionaries(
        {"shipment": st.sampled_from(SHIPMENTS), "by": st.sampled_from(["post", "fetched"]), "note": st.just("")}
    ),
    "hatch_reported": st.fixed_dictionaries(
        {
            "shipment": st.sampled_from(SHIPMENTS),
            "lines": st.lists(_reported(), min_size=1, max_size=2, unique_by=lambda line: line["line"]),
            "slip": st.booleans(),
        }
    ),
    "hatch_report_closed": st.fixed_dictionaries({"shipment": st.sampled_from(SHIPMENTS)}),
    "hatch_report_aside": st.fixed_dictionaries(
        {"shipment": st.sampled_from(SHIPMENTS), "why": st.sampled_from(["left out in the sun", "no power"])}
    ),
}
MAKERS |= {
    "feed_bought": st.fixed_dictionaries(
        {
            "what": st.just(""),
            "kg": st.sampled_from([12.5, 25]),
            "paid": st.just(18.5),
            "currency": st.just("EUR"),
            "note": st.just(""),
        }
    ),
    "feed_fed": st.fixed_dictionaries(
        {
            "row": st.none(),
            "brood": st.one_of(st.none(), broods),
            "kg": st.sampled_from([1.5, 14.2]),
            "days": st.integers(1, 7),
            "note": st.just(""),
        }
    ),
    "expense": st.fixed_dictionaries(
        {
            "part": st.sampled_from(["laying", "hatching"]),
            "what": st.just("power"),
            "line": st.one_of(st.none(), lines),
            "amount": st.just(6),
            "currency": st.just("EUR"),
            "note": st.just(""),
        }
    ),
}
THE_OWNERS_OWN = ("expense", "hatch_reported", "hatch_report_closed", "hatch_report_aside")
OWNERS_ALONE = (
    *THE_OWNERS_OWN,
    "line",
    "cage",
    "treated",
    "plumage_claimed",
    "prices_told",
    "setting_planned",
    "order_taken",
    "promised",
    "order_withdrawn",
)
VERSION_2_HAS = {
    "line": "plumage",
    "birds_placed": "birds",
    "found_dead": "birds",
    **dict.fromkeys(("bird_sexed", "bird_weight", "sex_guessed"), "number"),
}


def version_of(kind: str, body: dict[str, Any]) -> int:
    """Of a body that one of the makers made: both versions of a kind are among them where it has two."""
    return 2 if VERSION_2_HAS.get(kind, "-") in body else 1


@st.composite
def histories(draw: st.DrawFn, people: int = 2, most: int = 14) -> list[dict[str, Any]]:
    """Entries without author: `by` says which of the people wrote it. A third of them set the barn up. Some cannot be
    read, and some of these are written anew; some find others right, or strike them (or what will never come)."""
    entries: list[dict[str, Any]] = []
    setting_up = [
        ("line", {"line": LINES[0]}),
        ("cage", {"cage": CAGES[0], "line": LINES[0]}),
        ("brood", {"line": LINES[0]}),
        ("eggs_set", {"setting": SETTINGS[0]}),
    ]
    for kind, fixed in setting_up:
        entries.append(_one(draw, len(entries), people, kind, {**draw(MAKERS[kind]), **fixed}))
    for _ in range(draw(st.integers(1, most))):
        kind, body = draw(bodies())
        entries.append(_one(draw, len(entries), people, kind, body))
    for _ in range(draw(st.integers(0, 2))):
        unreadable = {"cage": "no cage", "text": draw(small)}
        entries.append(_one(draw, len(entries), people, "cage_note", unreadable))
        for _ in range(draw(st.integers(0, 2))):
            body = draw(MAKERS["cage_note"])
            mended = _one(draw, len(entries), people, "cage_note", body) | {"mends": entries[-1]["id"]}
            entries.append(mended)
    for _ in range(draw(st.integers(0, 2))):
        some = st.lists(st.sampled_from([entry["id"] for entry in entries]), min_size=1, max_size=3, unique=True)
        body = {"entries": draw(some), "code": draw(st.sampled_from(QUESTIONS)), "note": ""}
        entries.append(_one(draw, len(entries), people, "found_right", body))
    for _ in range(draw(st.integers(0, 4))):
        target = draw(st.one_of(st.sampled_from([entry["id"] for entry in entries]), st.just(_id(99, 0))))
        entries.append(_one(draw, len(entries), people, "strike", {"entry": target, "why": ""}))
    return entries


def _one(draw: st.DrawFn, n: int, people: int, kind: str, body: dict[str, Any]) -> dict[str, Any]:
    day = FIRST_DAY + timedelta(days=draw(st.integers(0, 4)))
    return {
        "id": _id(50, n),
        "by": 0 if kind in (*OWNERS_ALONE, "farm", "found_right") else draw(st.integers(0, people - 1)),
        "device_seq": n + 1,
        "kind": kind,
        "version": version_of(kind, body),
        "day": day.isoformat(),
        "stamp": draw(st.integers(1000, 1004)),  # ties are the interesting case
        "zone": "UTC",
        "body": body,
    }
