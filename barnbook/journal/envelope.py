"""Reading what came: an entry's envelope and its body, or the one sentence that says what is wrong with it."""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Count, Day, Id, Text
from barnbook.journal.kind import Kind, Written
from barnbook.journal.kinds import KINDS

LARGEST = 2**53 - 1  # the largest whole number that JavaScript keeps exactly
LONGEST_SENTENCE = 300


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why something that came counts for nothing. later: the house may be able to read it after an update."""

    code: str
    detail: str
    field: str = ""
    later: bool = False


@dataclass(frozen=True, slots=True)
class Read:
    """An entry that could be read: its envelope, and its body as it came."""

    id: uuid.UUID
    author: uuid.UUID
    device_seq: int
    kind: Kind
    version: int
    day: date
    stamp: int
    zone: str
    body: dict[str, Any]
    mends: uuid.UUID | None

    @property
    def subjects(self) -> list[str]:
        """The subjects that must stand for it to count, and those that it changes."""
        body = upgraded(self.kind, self.version, self.body)
        read = Written(id=self.id, day=self.day, stamp=self.stamp, author=self.author, body=body)
        return [*self.kind.needs(body), *(effect.subject for effect in self.kind.effects(read))]


class Envelope(serializers.Serializer[Any]):
    """What every entry says of itself."""

    id = Id()
    author = Id()
    device_seq = Count(most=LARGEST)
    kind = Text(max_length=30)
    version = Count(least=1, most=32767)
    day = Day()
    stamp = Count(most=LARGEST)
    zone = Text(max_length=64, allow_blank=True)
    body = serializers.DictField()
    mends = Id(required=False, allow_null=True)


def digest_of(raw: Any) -> str:
    """The same content has the same digest, whatever the order of its keys."""
    text = json.dumps(raw, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def read(raw: Any) -> Read | Refusal:
    """One entry as it came, read; or why it cannot be."""
    if not isinstance(raw, dict):
        return Refusal("unreadable", "This is no entry: an entry is a JSON object with an id, a kind and a body.")
    data = _checked(_envelope(), raw)
    if isinstance(data, _Problem):
        sentence = "The entry's " + data.sentence + ". Write it again on the phone."
        return Refusal("unreadable", sentence, data.field)
    kind = KINDS.get(data["kind"])
    if kind is None or data["version"] > kind.version:
        return Refusal(
            "newer_than_the_house",
            f"This house does not know entries of kind '{data['kind']}' version {data['version']} yet. It keeps this "
            "one, and it will count after the house's next update.",
            later=True,
        )
    body = upgraded(kind, data["version"], raw["body"])
    checked = _checked(_body_of(kind), body)
    if isinstance(checked, _Problem):
        sentence = f"This {kind.name.replace('_', ' ')}'s {checked.sentence}. Mend it and write it again."
        return Refusal(checked.code, sentence, checked.field)
    return Read(
        id=data["id"],
        author=data["author"],
        device_seq=data["device_seq"],
        kind=kind,
        version=data["version"],
        day=data["day"],
        stamp=data["stamp"],
        zone=data["zone"],
        body=raw["body"],
        mends=data.get("mends"),
    )


def upgraded(kind: Kind, version: int, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """A body as the kind's present version has it: a phone that was away through an update wrote an older one."""
    for each in range(version, kind.version):
        body = kind.upgrades[each](dict(body))
    return body


@cache
def _envelope() -> Envelope:
    return Envelope()


@cache
def _body_named(name: str) -> serializers.Serializer[Any]:
    return KINDS[name].body()


def _body_of(kind: Kind) -> serializers.Serializer[Any]:
    return _body_named(kind.name)


@dataclass(frozen=True, slots=True)
class _Problem:
    code: str
    field: str
    sentence: str


@dataclass(frozen=True, slots=True)
class _Names:
    """The names of a serializer's fields, looked up once: a push asks for them a thousand times."""

    all: frozenset[str]
    required: tuple[str, ...]
    nested: tuple[tuple[str, serializers.Field[Any, Any, Any, Any]], ...]


@cache
def _names_of(serializer: serializers.Serializer[Any]) -> _Names:
    fields = dict(serializer.fields.items())
    return _Names(
        all=frozenset(fields),
        required=tuple(name for name, field in fields.items() if field.required),
        nested=tuple((name, field) for name, field in fields.items() if _holds_names(field)),
    )


def _holds_names(field: serializers.Field[Any, Any, Any, Any]) -> bool:
    return isinstance(field, serializers.Serializer | serializers.ListField)


def _checked(serializer: serializers.Serializer[Any], data: Any) -> dict[str, Any] | _Problem:
    """The data as the serializer reads it, or the first thing that is wrong with it."""
    if not isinstance(data, Mapping):
        return _Problem("body_wrong_field", "body", "body must be a JSON object")
    names = _names_of(serializer)
    for name in names.required:
        if name not in data:
            return _Problem("body_missing_field", name, f"field '{name}' is missing")
    for name in data:
        if name not in names.all:
            shown = printable(str(name))[:60]
            return _Problem("body_extra_field", shown, f"field '{shown}' is not one that we know")
    try:
        read: dict[str, Any] = serializer.run_validation(data)
    except serializers.ValidationError as error:
        name, text = _first_error(error.detail)
        return _Problem("body_wrong_field", name, printable(f"field '{name}' {text}")[:LONGEST_SENTENCE])
    for name, field in names.nested:
        for extra in _extra_within(field, data.get(name)):
            return _Problem("body_wrong_field", name, f"field '{name}' holds '{extra}', which is not one that we know")
    return read


def _extra_within(field: serializers.Field[Any, Any, Any, Any], data: Any) -> Iterator[str]:
    """Names in what a field holds that are none of its own. The body is kept as it came, so these would be, too."""
    if isinstance(field, serializers.Serializer) and isinstance(data, Mapping):
        yield from (printable(str(name))[:60] for name in data if name not in field.fields)
        for name, inner in field.fields.items():
            yield from _extra_within(inner, data.get(name))
    elif isinstance(field, serializers.ListField) and isinstance(data, list):
        for each in data:
            yield from _extra_within(field.child, each)


def printable(text: str) -> str:
    """A text that came, fit to be kept and shown: a null or half a surrogate pair in it can be kept by no database."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "?")


def _first_error(detail: Any, name: str = "") -> tuple[str, str]:
    """The first error in DRF's nested detail: the top field's name and one text."""
    if isinstance(detail, Mapping):
        key = next(iter(detail))
        own = name or (str(key) if key != "non_field_errors" else "body")
        return _first_error(detail[key], own)
    if isinstance(detail, list):
        first = next((each for each in detail if each), "is wrong")
        return _first_error(first, name)
    text = str(detail).rstrip(".")
    return name, text[0].lower() + text[1:] if text else "is wrong"
