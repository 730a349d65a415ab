"""Every kind reads its examples in fixtures/entries as the phone does: the contract in the open."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from barnbook.journal.envelope import Read, Refusal, read
from barnbook.journal.kinds import KINDS

EXAMPLES = Path(__file__).parents[3] / "fixtures" / "entries"


def entry(kind: str, version: int, body: Any) -> dict[str, Any]:
    return {
        "id": "0197c2a0-0000-7000-8000-00000000000a",
        "author": "0197c2a0-0000-7000-8000-00000000000b",
        "device_seq": 1,
        "kind": kind,
        "version": version,
        "day": "2026-07-15",
        "stamp": 1784116800000,
        "zone": "Europe/Vienna",
        "body": body,
    }


def examples(which: str) -> list[Any]:
    found = []
    for path in sorted(EXAMPLES.glob("*.json")):
        newest = json.loads(path.read_text(encoding="utf-8"))
        for sheet in (newest, *newest.get("older", [])):
            kind, version = newest["kind"], sheet["version"]
            found += [pytest.param(kind, version, each, id=f"{kind} {version}: {each['why']}") for each in sheet[which]]
    return found


def test_every_kind_has_its_examples_and_no_example_is_without_a_kind() -> None:
    assert {path.stem for path in EXAMPLES.glob("*.json")} == set(KINDS)


def test_the_examples_reach_to_the_newest_version_and_leave_none_out() -> None:
    for path in EXAMPLES.glob("*.json"):
        sheet = json.loads(path.read_text(encoding="utf-8"))
        versions = {sheet["version"], *(each["version"] for each in sheet.get("older", []))}
        assert versions == set(range(1, KINDS[sheet["kind"]].version + 1))


@pytest.mark.parametrize(("kind", "version", "example"), examples("accepted"))
def test_an_accepted_example_is_read(kind: str, version: int, example: Any) -> None:
    assert isinstance(read(entry(kind, version, example["body"])), Read)


@pytest.mark.parametrize(("kind", "version", "example"), examples("refused"))
def test_a_refused_example_is_refused_for_that_field_with_a_sentence(kind: str, version: int, example: Any) -> None:
    refusal = read(entry(kind, version, example["body"]))
    assert isinstance(refusal, Refusal)
    assert (refusal.code, refusal.field) == (example["code"], example["field"])
    assert refusal.detail.endswith(".")
