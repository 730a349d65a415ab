"""Figures laid down as rows, one a subject, name and span: it keeps its id and, while it is the same, its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from barnbook.barn.models import Farm, Figure
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone
from barnbook.figures.estimate import Estimate, Missing
from barnbook.work.cages import Reckoned

Key = tuple[str, str, str]


def lay_figures_down(farm: Farm, wanted: Mapping[str, Sequence[Reckoned]], *, now: datetime) -> None:
    """Make the figures of these subjects be `wanted` and no others. Hold the farm's lock, and save its `last_seq`.

    A figure that came out the same keeps its place and the time at which it was computed.
    """
    there = {_key(row): row for row in Figure.objects.of(farm).filter(subject__in=list(wanted))}
    new, differ = [], []
    for subject, figures in wanted.items():
        for figure in figures:
            values = values_of(figure.estimate)
            row = there.pop((subject, figure.name, figure.span), None)
            if row is None:
                row = Figure(farm=farm, subject=subject, name=figure.name, span=figure.span)
                new.append(row)
            elif any(getattr(row, field) != value for field, value in values.items()):
                differ.append(row)
            else:
                continue
            for field, value in values.items():
                setattr(row, field, value)
            row.computed_at = now
    changed(farm, new + differ)
    Figure.objects.bulk_create(new)
    Figure.objects.bulk_update(differ, [*FIELDS, "computed_at", "seq"], batch_size=100)
    if there:
        Figure.objects.filter(pk__in=[row.pk for row in there.values()]).delete()
        tell_gone(farm, "figure", sorted(str(row.pk) for row in there.values()))


FIELDS = (
    "unit",
    "value",
    "low",
    "high",
    "n",
    "n_of",
    "first_day",
    "last_day",
    "method",
    "left_out",
    "missing",
    "notes",
)


def values_of(estimate: Estimate) -> dict[str, Any]:
    """The estimate as the row's fields hold it."""
    values = {field: getattr(estimate, field) for field in FIELDS}
    values["left_out"] = [asdict(each) for each in estimate.left_out]
    values["notes"] = list(estimate.notes)
    values["missing"] = plain_missing(estimate.missing) if estimate.missing else None
    for field in ("value", "low", "high", "n"):
        values[field] = None if values[field] is None else float(values[field])
    return values


def plain_missing(missing: Missing) -> dict[str, Any]:
    return asdict(missing) | {"reason": str(missing.reason)}


def _key(row: Figure) -> Key:
    return (row.subject, row.name, row.span)
