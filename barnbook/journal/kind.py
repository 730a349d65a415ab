"""What a kind of entry is: its body, what it names, what it changes, what the owner is asked about it."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import Role

type_of_state = Any  # each subject has a state of its own; see barnbook.barn.standing


@dataclass(frozen=True, slots=True)
class Written:
    """An entry as a kind sees it: read, of the current version, and with its place in the order of things."""

    id: uuid.UUID
    day: date
    stamp: int
    author: uuid.UUID
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Effect:
    """How an entry changes one subject: `apply` is given the subject's state and the entry."""

    subject: str
    apply: Callable[[Any, Written], None]


OWNERS = frozenset({Role.OWNER.value})
WRITERS = frozenset({Role.OWNER.value, Role.HELPER.value})


def no_needs(body: Mapping[str, Any]) -> list[str]:
    return []


def about_nothing(body: Mapping[str, Any]) -> list[str]:
    return []


def no_effects(entry: Written) -> list[Effect]:
    return []


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of entry.

    body: the serializer of its body, as the wire's schema shows it.
    needs: the subjects that must stand for it to count (it waits until they do).
    effects: what it changes in the barn.
    about: what else it is found by (`bird/<id>`), without needing it.
    written_by: the roles that may write it.
    upgrades: version -> a function that makes a body of the next version of one of that version.
    """

    name: str
    body: type[serializers.Serializer[Any]]
    needs: Callable[[Mapping[str, Any]], list[str]] = no_needs
    effects: Callable[[Written], list[Effect]] = no_effects
    about: Callable[[Mapping[str, Any]], list[str]] = about_nothing
    written_by: frozenset[str] = WRITERS
    version: int = 1
    upgrades: Mapping[int, Callable[[dict[str, Any]], dict[str, Any]]] = field(default_factory=dict)
