"""What people and phones may do, kept in a list beside the book: an older copy that is put back gives no right again
that was taken away since.

Each line of the list is a JSON object: a person and their role now, a phone that was unpaired, or the SHA-256 of a
secret address that was turned off. It is only ever added to, and of several lines about one the last rules; a back-up
carries a copy. Whoever puts an older copy back calls `replay_rights` before anybody is served.
"""

from __future__ import annotations

import hashlib
import json
import os
import threading
import uuid
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet

from barnbook.barn.models import CalendarLink, Device, Farm, Person, Role, SheetLink
from barnbook.barn.models.row import changed

_lock = threading.Lock()


def rights_list() -> Path:
    """The list, in the data folder."""
    return Path(settings.DATA) / "rights.jsonl"


def note_person(person: Person) -> None:
    """That person is of this role now, or was taken off (is_active False). Within the transaction that makes it so:
    a house killed in between does at its next start what was asked."""
    said = {"person": str(person.pk), "farm": str(person.farm_id), "name": person.name, "role": str(person.role)}
    _add(said | {"active": person.is_active})


def note_unpaired(device: Device) -> None:
    """That phone is known no more."""
    _add({"phone": str(device.pk)})


def turn_off(links: QuerySet[Any]) -> None:
    """Turn those secret addresses off for good (CalendarLink, SheetLink): drawn again they are others."""
    for link in links:
        _add({"link": _hash(link.token)})
    links.delete()


def merge_rights(others: Path) -> None:
    """Lay the list that a back-up carried before this one, which is the longer of the two in the house that made it.
    Raises OSError."""
    ours = _lines(rights_list())
    lines = [*(line for line in _lines(others) if line not in set(ours)), *ours]
    if not lines:
        return
    new = rights_list().with_suffix(".new")
    new.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    new.chmod(0o600)
    os.replace(new, rights_list())


def replay_rights() -> list[str]:
    """Make the book's people, phones and secret addresses what the list says. Returns sentences for the owner: whom it
    could not take off again, because nobody else could open the book; whom it asked in anew."""
    people: dict[str, dict[str, Any]] = {}
    phones: set[str] = set()
    links: set[str] = set()
    for said in map(_read, _lines(rights_list())):
        if "person" in said:
            people[str(said["person"])] = said  # the last line rules
        elif "phone" in said:
            phones.add(str(said["phone"]))
        elif "link" in said:
            links.add(str(said["link"]))
    _unpair(phones)
    _close(links)
    told = []
    for farm_id in {str(said.get("farm")) for said in people.values()}:
        theirs = {_id(id_): said for id_, said in people.items() if said.get("farm") == farm_id and _id(id_)}
        told += _people(_id(farm_id), theirs)
    return told


def _people(farm_id: uuid.UUID | None, said: dict[Any, dict[str, Any]]) -> list[str]:
    if farm_id is None or not Farm.objects.filter(pk=farm_id).exists():
        return []
    told = []
    with transaction.atomic():
        farm = Farm.objects.locked(farm_id)
        here = {person.pk: person for person in Person.objects.of(farm)}
        touched = []
        for id_, right in said.items():
            person = here.get(id_)
            if person is None:
                if right.get("active") and right.get("role") in Role.values:
                    touched.append(_anew(farm, id_, right))
                    told.append(
                        f"{touched[-1].name} came to the farm after the back-up: draw a code for them in Set-up."
                    )
            elif right.get("role") in Role.values and (person.role, person.is_active) != _of(right):
                person.role, person.is_active = _of(right)
                touched.append(person)
        told += _keep_an_owner(farm, [*here.values(), *touched], touched)
        changed(farm, touched)
        for person in touched:
            person.save()
        if touched:
            farm.save(update_fields=["last_seq"])
    return told


def _of(right: dict[str, Any]) -> tuple[str, bool]:
    return str(right["role"]), bool(right.get("active"))


def _keep_an_owner(farm: Farm, everybody: list[Person], touched: list[Person]) -> list[str]:
    """A book that nobody can open helps nobody: then whoever was its owner in the copy stays so, and it is said."""
    if any(each.is_active and each.role == Role.OWNER and each.has_usable_password() for each in everybody):
        return []
    told = []
    for was in Person.objects.of(farm).filter(role=Role.OWNER, is_active=True).order_by("name"):
        touched[:] = [each for each in touched if each.pk != was.pk]
        told.append(
            f"{was.name} is an owner again, since nobody else could open the book: look at Set-up, People and phones."
        )
    return told


def _anew(farm: Farm, id_: uuid.UUID, right: dict[str, Any]) -> Person:
    """With the same id, so that what they wrote since comes in again under it; without a password."""
    name = wanted = str(right.get("name") or "Somebody")[:70]
    number = 1
    while Person.objects.filter(name__iexact=name).exists():
        number += 1
        name = f"{wanted} ({number})"
    person = Person(id=id_, farm=farm, name=name, role=str(right["role"]))
    person.set_unusable_password()
    return person


def _unpair(phones: set[str]) -> None:
    ids = [id_ for id_ in map(_id, phones) if id_]
    Device.objects.filter(pk__in=ids, unpaired_at=None).update(unpaired_at=datetime.now(UTC))


def _close(hashes: set[str]) -> None:
    if not hashes:
        return
    for model in (CalendarLink, SheetLink):
        gone = [link.pk for link in model.objects.all() if _hash(link.token) in hashes]
        model.objects.filter(pk__in=gone).delete()


def _add(said: dict[str, Any]) -> None:
    line = json.dumps({"at": datetime.now(UTC).isoformat(timespec="milliseconds"), **said}, ensure_ascii=False)
    path = rights_list()
    with _lock:
        if not path.exists():
            path.touch(mode=0o600)
        with path.open("a", encoding="utf-8") as file:
            file.write(f"{line}\n")
            file.flush()
            os.fsync(file.fileno())


def _lines(path: Path) -> list[str]:
    try:
        raw = path.read_text(encoding="utf-8", errors="replace")
    except FileNotFoundError:
        return []
    return [line for line in raw.split("\n") if _read(line)]


def _read(line: str) -> dict[str, Any]:
    """{} for a line cut off by a lost power, and for what is none."""
    try:
        said = json.loads(line)
    except ValueError:
        return {}
    return said if isinstance(said, dict) else {}


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _id(text: Any) -> uuid.UUID | None:
    try:
        return uuid.UUID(str(text))
    except ValueError:
        return None
