"""A phone's outbox saved as a file comes into the book by hand, each entry once and as its author's."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from barnbook.barn.models import Collection
from barnbook.house.saved_outbox import UnreadableOutboxError, read_in
from barnbook.journal.models import Entry, SetAside
from tests.conftest import Cast
from tests.scribe import NOON, Scribe

pytestmark = pytest.mark.django_db


def saved(scribe: Scribe, *entries: dict[str, Any]) -> str:
    """As frontend/src/book/trip/outbox-file.ts writes it."""
    content = {
        "barnbook": "outbox",
        "protocol": 1,
        "farm": str(scribe.farm.pk),
        "farm_name": scribe.farm.name,
        "house": None,
        "book": None,
        "saved_at": 1_784_116_800_000,
        "entries": [{**entry, "state": "unsent"} for entry in entries],
    }
    return json.dumps(content)


def test_its_entries_are_in_the_book_once_and_the_bad_one_aside(cast: Cast) -> None:
    cage = cast.owner.cage()
    sent = cast.helper.entry("egg_count", **cast.helper.count_body(cage, 4, "morning"))
    cast.helper.send(sent)
    fresh = cast.helper.entry("egg_count", **cast.helper.count_body(cage, 2, "evening"))
    bad = cast.helper.entry("egg_count", **cast.helper.count_body(cage, -2, "noon"))
    found = read_in(saved(cast.helper, sent, fresh, bad), now=NOON)
    assert dict(found.counts) == {"already": 1, "written": 1, "aside": 1}
    assert sorted(Collection.objects.values_list("eggs", flat=True)) == [2, 4]
    assert Entry.objects.get(pk=fresh["id"]).author == cast.helper.person
    assert SetAside.objects.get().entry_id == bad["id"]
    again = read_in(saved(cast.helper, sent, fresh, bad), now=NOON)
    assert dict(again.counts) == {"already": 2, "aside": 1}
    assert SetAside.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("not json", "not JSON"),
        ("[" * 100_000, "not JSON"),
        ("{}", "no saved outbox"),
        ('{"barnbook": "outbox", "entries": [], "farm": "x", "farm_name": "Nether Fold"}', "of Nether Fold"),
    ],
)
def test_another_file_is_refused_with_a_sentence(db: Any, text: str, sentence: str) -> None:
    with pytest.raises(UnreadableOutboxError, match=sentence):
        read_in(text, now=NOON)


def test_the_command_says_what_it_did(cast: Cast, tmp_path: Path) -> None:
    cage = cast.owner.cage()
    path = tmp_path / "outbox.json"
    path.write_text(saved(cast.owner, cast.owner.entry("egg_count", **cast.owner.count_body(cage, 3))))
    said = StringIO()
    call_command("read_outbox", path, stdout=said)
    assert said.getvalue() == "Three Alders: 1 entries were read in, 0 were in the book already, 0 were set aside.\n"
    with pytest.raises(SystemExit, match="cannot be read"):
        call_command("read_outbox", tmp_path / "nowhere.json")
