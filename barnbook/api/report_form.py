"""The form of a hatch report: what is asked about each line of a shipment, and what a stranger typed into it.

Only whole numbers and one plain text are read; whatever else came is not looked at.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from barnbook.barn.models import Line, Shipment

MOST_REMARK = 500
MOST_DIGITS = 4
ASKED = (
    ("broken", "arrived broken"),
    ("set", "set"),
    ("clear", "clear, if you candled"),
    ("hatched", "hatched"),
)


@dataclass(slots=True)
class Field:
    """One number. name: of the input.  text: as it was typed, shown again."""

    name: str
    label: str
    text: str = ""
    wrong: str = ""

    @property
    def number(self) -> int | None:
        return int(self.text) if self.text and not self.wrong else None


@dataclass(slots=True)
class LineAsked:
    """What is asked of one line. eggs: of it that were sent.  plumage: a field a class, in the line's own words.

    told: something was said of it before, so that what is empty now takes it back.
    """

    line: str
    name: str
    eggs: int
    numbers: dict[str, Field]
    plumage: dict[str, Field]
    told: bool = False
    wrong: str = ""

    @property
    def fields(self) -> list[Field]:
        return [*self.numbers.values(), *self.plumage.values()]

    @property
    def is_said(self) -> bool:
        return self.told or any(each.text for each in self.fields)

    @property
    def body(self) -> dict[str, Any]:
        chicks = [{"plumage": key, "chicks": each.number} for key, each in self.plumage.items() if each.number]
        return {"line": self.line, **{name: each.number for name, each in self.numbers.items()}, "chicks": chicks}


@dataclass(slots=True)
class Form:
    lines: list[LineAsked] = field(default_factory=list)
    remark: str = ""
    remarked: bool = False
    wrong: str = ""

    @property
    def is_right(self) -> bool:
        return not self.wrong and not any(line.wrong or any(each.wrong for each in line.fields) for line in self.lines)


def form_of(shipment: Shipment, remark: str) -> Form:
    """The form of that shipment, filled with what was reported of it last."""
    sent: Counter[str] = Counter()
    for each in shipment.eggs:
        sent[each["line"]] += each["eggs"]
    lines = {str(line.pk): line for line in Line.objects.of(shipment.farm_id).filter(pk__in=sent)}
    before = {each["line"]: each for each in (shipment.report or {}).get("lines", [])}
    form = Form(remark=remark, remarked=bool(remark))
    for place, (id_, eggs) in enumerate(sorted(sent.items())):
        said, line = before.get(id_, {}), lines.get(id_)
        chicks = {each["plumage"]: each["chicks"] for each in said.get("chicks", [])}
        # Where a line has one look, every chick has it.
        classes = line.plumage if line and len(line.plumage) > 1 else []
        form.lines.append(
            LineAsked(
                line=id_,
                name=line.name if line else "eggs",
                eggs=eggs,
                told=bool(said),
                numbers={key: Field(f"{key}-{place}", label, _text(said.get(key))) for key, label in ASKED},
                plumage={
                    each["key"]: Field(f"plumage-{place}-{at}", each["words"], _text(chicks.get(each["key"])))
                    for at, each in enumerate(classes)
                },
            )
        )
    return form


def read_into(form: Form, typed: Mapping[str, str]) -> None:
    """Read what was typed into the form, and say of each field and line what is wrong with it."""
    for line in form.lines:
        for each in line.fields:
            each.text = typed.get(each.name, "").strip()[:20]
            if each.text and not re.fullmatch(rf"[0-9]{{1,{MOST_DIGITS}}}", each.text):
                each.wrong = "A whole number, please, or nothing."
        if not any(each.wrong for each in line.fields):
            line.wrong = _wrong_with(line)
    form.remark = plain(typed.get("remark", ""))
    if len(form.remark) > MOST_REMARK:
        form.wrong = f"The remark is longer than {MOST_REMARK} characters: please shorten it."
    elif not any(line.is_said for line in form.lines) and not form.remark and not form.remarked:
        form.wrong = "Nothing is filled in yet."


def _wrong_with(line: LineAsked) -> str:
    broken, set_, clear, hatched = (line.numbers[key].number for key, _ in ASKED)
    seen = sum(each.number or 0 for each in line.plumage.values())
    if (broken or 0) + (set_ or 0) > line.eggs:
        return f"{line.eggs} eggs were sent: broken and set together cannot be more."
    if set_ is None and (clear is not None or hatched is not None):
        return "How many eggs were set?"
    if (clear or 0) + (hatched or 0) > (set_ or 0):
        return f"{set_ or 0} were set: clear and hatched together cannot be more."
    if seen > (hatched or 0):
        return f"{hatched or 0} hatched: the chicks by looks cannot be more."
    return ""


def plain(text: str) -> str:
    """A text without what cannot be seen: control and direction marks go, line ends stay."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = (each for each in text if each == "\n" or unicodedata.category(each) not in ("Cc", "Cf", "Cs", "Co", "Cn"))
    return "".join(kept).strip()


def _text(number: int | None) -> str:
    return "" if number is None else str(number)
