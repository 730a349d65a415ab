"""Feed and expenses of the example farm. Amounts and prices are invented."""

from __future__ import annotations

from collections import Counter
from datetime import date

from barnbook.house.example_farm import story
from barnbook.house.example_farm.pen import HOUR, Pen

MONDAY = 0
EVENING = 20.0 * HOUR
CAGES_KG_A_WEEK = 38.5
BAG_KG, BAG_PRICE, BAGS_A_MONTH = 25, 17.9, 8
CHICK_KG = ((28, 0.24), (56, 0.56))  # eaten by one chick up to that age, since the age before


def write_costs(pen: Pen) -> None:
    """A week's feed each Monday, bags and expenses each month, and what each brood ate. Last, after the broods."""
    _broods(pen)
    for day in range(story.FIRST_DAY + 7, 0):
        on = pen.date(day)
        if on.weekday() == MONDAY:
            fed = {"row": None, "brood": None, "kg": CAGES_KG_A_WEEK, "days": 7, "note": ""}
            pen.write(story.WILMA, "feed_fed", day=day, at=EVENING, **fed)
        if on.day == 3:
            price = round(BAG_PRICE * BAGS_A_MONTH + on.month % 4, 2)
            bags = {
                "what": "layer crumble",
                "kg": BAG_KG * BAGS_A_MONTH,
                "paid": price,
                "currency": story.CURRENCY,
                "note": "",
            }
            pen.write(story.WILMA, "feed_bought", day=day, at=EVENING + 60, **bags)
            for at, (part, what, amount) in enumerate((("laying", "cartons", 6.4), ("hatching", "power", 8.2))):
                spent = {
                    "part": part,
                    "what": what,
                    "line": None,
                    "amount": amount,
                    "currency": story.CURRENCY,
                    "note": "",
                }
                pen.write(story.WILMA, "expense", day=day, at=EVENING + 120 + at, **spent)


def _broods(pen: Pen) -> None:
    chicks: Counter[str] = Counter()
    hatched: dict[str, date] = {}
    for draft in pen.in_order():
        if draft.kind == "chicks_seen":
            chicks[draft.body["brood"]] += draft.body["chicks"]
        elif draft.kind == "brood_hatched":
            hatched[draft.body["brood"]] = date.fromisoformat(draft.body["hatched_on"])
    for brood, on in hatched.items():
        before = 0
        for age, kg in CHICK_KG:
            day = (on - pen.today).days + age
            if story.FIRST_DAY <= day < 0 and chicks[brood]:
                fed = {
                    "row": None,
                    "brood": brood,
                    "kg": round(kg * chicks[brood], 1),
                    "days": age - before,
                    "note": "",
                }
                pen.write(story.WILMA, "feed_fed", day=day, at=EVENING + 200, **fed)
            before = age
