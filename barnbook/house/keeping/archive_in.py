"""Reading a farm's archive into this house, whole or not at all."""

from __future__ import annotations

import json
import uuid
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from barnbook.barn.erasing import replay_erasures
from barnbook.barn.models import Farm, Person
from barnbook.barn.models.farm import FARM_SETTINGS
from barnbook.barn.models.row import changed
from barnbook.barn.to_reckon import reckon_again
from barnbook.house.keeping.archive import FORMAT, KIND, TABLES, Table
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry, Naming
from barnbook.journal.rebuild import NOT_WEIGHED, rebuild
from barnbook.journal.settle import chunks, namings_of

LONGEST_LINE = 4 * 1024 * 1024
NEWER = "was made by a newer Barnbook: upgrade this one first."
KNOWN = {"README.txt", "about.json", "farm.json", *(table.file for table in TABLES)}


class ArchiveError(Exception):
    """Nothing was read in: the text says why, and what to do."""


@dataclass(frozen=True, slots=True)
class ReadIn:
    """lines: rows of each file.  renamed: people whose name somebody of this house had already, old to new."""

    farm: Farm
    lines: dict[str, int]
    renamed: dict[str, str]


def read_archive(path: Path, *, now: datetime) -> ReadIn:
    """Read that archive in as a farm of this house, and build its barn anew. Raises ArchiveError."""
    try:
        with zipfile.ZipFile(path) as file:
            about = _about(path, file)
            with transaction.atomic():
                read = _read(file, about, now)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError):
        raise ArchiveError(f"{path.name} is damaged or no archive of a farm: choose another.") from None
    except OSError as error:
        raise ArchiveError(f"{path} cannot be read: {error.strerror or error}.") from None
    except DatabaseError as error:
        raise ArchiveError(f"Nothing was read in: the book could not take it ({str(error).strip()}).") from None
    replay_erasures()
    return read


def _about(path: Path, file: zipfile.ZipFile) -> dict[str, Any]:
    if any(each.flag_bits & 1 for each in file.infolist()):
        raise ArchiveError(f"{path.name} is under a password: unpack it and pack it again without one.")
    try:
        about = json.loads(file.open("about.json").read(LONGEST_LINE))
    except (KeyError, ValueError):
        about = None
    if not isinstance(about, dict) or about.get("barnbook") != KIND:
        raise ArchiveError(f"{path.name} is no archive of a farm: choose a file that `barnbook archive` made.")
    if about.get("format") != FORMAT:
        raise ArchiveError(f"{path.name} {NEWER}")
    lines = about.get("lines")
    if not isinstance(lines, dict):
        raise ArchiveError(f"{path.name} is damaged: its about.json does not say how many lines each file has.")
    if strange := sorted({*lines, *file.namelist()} - KNOWN):
        raise ArchiveError(f"{path.name} {NEWER} It has {strange[0][:80]}, which this one does not know.")
    return about


def _read(file: zipfile.ZipFile, about: dict[str, Any], now: datetime) -> ReadIn:
    farm = _farm(file)
    lines: dict[str, int] = {}
    renamed: dict[str, str] = {}
    for table in TABLES:
        lines[table.file] = 0
        for rows in chunks(_rows(file, table), 1000):
            lines[table.file] += len(rows)
            _write(farm, table, rows, renamed)
        told = about["lines"].get(table.file, 0)
        if lines[table.file] != told:
            raise ArchiveError(
                f"{table.file} has {lines[table.file]} lines where {told} were written: it is not whole."
            )
    farm.save(update_fields=["last_seq"])
    rebuild(farm)
    farm.refresh_from_db()
    reckon_again(farm, {"farm"}, now)
    return ReadIn(farm, lines, renamed)


def _farm(file: zipfile.ZipFile) -> Farm:
    try:
        told = json.loads(file.open("farm.json").read(LONGEST_LINE))
        farm = Farm(id=uuid.UUID(told["id"]), begun_with=told["begun_with"], last_seq=1, seq=1)
        _check_columns("farm.json", told, {"id", "begun_with", *FARM_SETTINGS})
        for name in FARM_SETTINGS:
            if name in told or not _may_lack(Farm._meta.get_field(name)):
                setattr(farm, name, told[name])
        farm.clean_fields()
    except (KeyError, ValueError, TypeError, ValidationError):
        raise ArchiveError("farm.json cannot be read: the archive is not whole.") from None
    if Farm.objects.filter(pk=farm.pk).exists():
        raise ArchiveError(
            f"The book of {farm.name} is in this house already. To put an older state back, use `barnbook restore`."
        )
    farm.save(force_insert=True)
    return Farm.objects.locked(farm.pk)


def _rows(file: zipfile.ZipFile, table: Table) -> Iterator[Any]:
    """The rows that a file's lines give, not saved."""
    if table.file not in file.namelist():
        return
    with file.open(table.file) as lines:
        number = 0
        while line := lines.readline(LONGEST_LINE):
            number += 1
            try:
                yield table.model(**_columns(table, json.loads(line)))
            except (ValueError, KeyError, TypeError, ValidationError, RecursionError):
                raise ArchiveError(f"Line {number} of {table.file} cannot be read: nothing was read in.") from None


def _columns(table: Table, told: dict[str, Any]) -> dict[str, Any]:
    """What a line gives for each column. A column that is younger than the archive stands at its default, as the
    rows did that were here when it was added; one that this Barnbook does not know would be lost, so it is refused."""
    _check_columns(table.file, told, {field.attname for field in table.fields})
    return {
        field.attname: field.to_python(told[field.attname])
        for field in table.fields
        if field.attname in told or not _may_lack(field)
    }


def _may_lack(field: Any) -> bool:
    """Whether a column has a value for rows that say none. Never an id: a drawn one would be another row."""
    has_one = field.has_default() or field.null or (field.empty_strings_allowed and field.blank)
    return has_one and not field.primary_key


def _check_columns(file: str, told: Any, known: set[str]) -> None:
    if strange := sorted(set(told) - known):
        raise ArchiveError(f"This archive {NEWER} Its {file} has '{strange[0][:80]}', which this one does not know.")


def _write(farm: Farm, table: Table, rows: list[Any], renamed: dict[str, str]) -> None:
    names = {field.attname for field in table.model._meta.concrete_fields}
    for row in rows:
        if "farm_id" in names:
            row.farm_id = farm.pk
        if isinstance(row, Person):
            _may_not_sign_in_yet(farm, row, renamed)
        if isinstance(row, Entry):
            _check_kind(row)
            row.state = NOT_WEIGHED
    if "seq" in names:
        changed(farm, rows)
    try:
        table.model.objects.bulk_create(rows)
    except DatabaseError:
        raise ArchiveError(
            f"A row of {table.file} is in this house already, or names something that the archive lacks."
        ) from None
    if table.model is Entry:
        Naming.objects.bulk_create([naming for entry in rows for naming in namings_of(entry, farm)])


def _may_not_sign_in_yet(farm: Farm, person: Person, renamed: dict[str, str]) -> None:
    """Passwords stay behind: `barnbook password` gives a new one. Names are unique in a house."""
    person.password = make_password(None)
    name, number = person.name, 1
    while Person.objects.filter(name__iexact=person.name).exists():
        number += 1
        person.name = f"{name[:70]} ({number})"
    if person.name != name:
        renamed[name] = person.name


def _check_kind(entry: Entry) -> None:
    kind = KINDS.get(entry.kind)
    if kind is None or entry.version > kind.version:
        raise ArchiveError(f"The archive has entries ({entry.kind}) of a newer Barnbook: upgrade this one first.")
