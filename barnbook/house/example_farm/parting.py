"""Weigh day's decisions, and where the birds that were not kept went: processed under the cut, the others sold live.

Whoever was placed in a cage by then is not among them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.broods import EVENING, FORENOON, Nursery, Raised, RaisedBird, hand
from barnbook.house.example_farm.pen import HOUR, Pen

PROCESSED_AFTER, SOLD_AFTER = 1, 8  # days after the birds were placed
SEXES = {"hen": "hens", "cock": "cocks"}


def part_with_the_rest(nursery: Nursery) -> None:
    """Write of each grown brood what was decided on weigh day and what became of the birds that no cage took."""
    for raised in nursery.raised.values():
        if raised.plan in story.BROODS and raised.plan.looked_again:
            _decide(nursery.pen, raised)
            _process(nursery.pen, raised)
            _sell(nursery.pen, raised)


def under_the_cut(raised: Raised, bird: RaisedBird) -> bool:
    cut = {"hen": raised.line.hen_cut_g, "cock": raised.line.cock_cut_g}.get(bird.seen or "")
    return cut is not None and bird.weighed_g is not None and bird.weighed_g < cut


def _decide(pen: Pen, raised: Raised) -> None:
    """Wilma's taps after the last bird was weighed; of birds with bands, that can be found again."""
    day = raised.plan.hatched + raised.plan.weighed_at
    if day >= 0 or not raised.line.bands or raised.plan.placed_at + raised.plan.hatched >= 0:
        return
    for place, bird in enumerate(bird for bird in raised.birds if bird.weighed_g is not None):
        decision = "keep" if bird.away else "sell"
        if not bird.away and raised.plan.processed and under_the_cut(raised, bird):
            decision = "process"
        body = {"bird": bird.id, "brood": raised.id, "decision": decision, "note": ""}
        pen.write(hand(day), "bird_decided", day=day, at=FORENOON + 2 * HOUR + 6 * place, **body)


def _process(pen: Pen, raised: Raised) -> None:
    """Each on its own: live, dressed, and how clean it plucked."""
    day = raised.plan.hatched + raised.plan.placed_at + PROCESSED_AFTER
    if day >= 0 or not raised.plan.processed:
        return
    at = EVENING - 3 * HOUR
    for bird in raised.birds:
        if bird.away or bird.seen not in SEXES or not under_the_cut(raised, bird):
            continue
        bird.away = True
        at += 400
        live = round(bird.weight_g * 1.01 + raised.luck.gauss(0, 3), 0)
        dressed = round(live * raised.luck.gauss(story.DRESSED_SHARE, story.DRESSED_SD), 0)
        pen.write(
            hand(day),
            "processed",
            day=day,
            at=at,
            **_from_brood(raised, [bird]),
            live_g=live,
            live_typed={"value": f"{live:.0f}", "unit": "g"},
            dressed_g=dressed,
            dressed_typed={"value": f"{dressed:.0f}", "unit": "g"},
            pluck=raised.luck.choice(story.PLUCK),
            note="",
        )


def _sell(pen: Pen, raised: Raised) -> None:
    """All that are left; those never told apart go as unsexed."""
    day = raised.plan.hatched + raised.plan.placed_at + SOLD_AFTER
    left = [bird for bird in raised.birds if not bird.away]
    if day >= 0 or not left:
        return
    for bird in left:
        bird.away = True
    pen.write(hand(day), "birds_sold", day=day, at=EVENING + HOUR, **_from_brood(raised, left), note="")


def _from_brood(raised: Raised, birds: Sequence[RaisedBird]) -> dict[str, Any]:
    """So many of each sex, taken from the brood, with the ids of those that can be told apart."""
    sexes = Counter(SEXES.get(bird.seen or "", "unsexed") for bird in birds)
    heads = {sex: sexes[sex] for sex in ("hens", "cocks", "unsexed")}
    return {"cage": None, "brood": raised.id, **heads, "birds": raised.named(birds)}
