"""The list of rights beside the book: of several lines the last rules, a book always keeps an owner."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from barnbook.barn import rights
from barnbook.barn.models import CalendarLink, Device, Person, SheetLink
from tests.conftest import Cast
from tests.scribe import new_id

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 15, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _beside(tmp_path: Path, settings: Any) -> None:
    settings.DATA = tmp_path


def turned(person: Person, *, role: str | None = None, active: bool = True) -> None:
    """As the roster does, and then as an older copy of the book has it."""
    was = (person.role, person.is_active)
    person.role, person.is_active = role or person.role, active
    rights.note_person(person)
    person.role, person.is_active = was


def stands(person: Person) -> tuple[str, bool]:
    person.refresh_from_db()
    return person.role, person.is_active


def test_the_last_line_rules(cast: Cast) -> None:
    helper, seq = cast.helper.person, cast.helper.farm.last_seq
    turned(helper, active=False)
    turned(helper, role="onlooker")
    assert rights.replay_rights() == []
    assert stands(helper) == ("onlooker", True)
    helper.farm.refresh_from_db()
    assert helper.seq == helper.farm.last_seq > seq, "phones learn of it"
    assert rights.replay_rights() == []
    assert stands(helper) == ("onlooker", True)
    assert helper.seq == helper.farm.last_seq, "and nothing changes again"


def test_a_book_always_keeps_an_owner_who_can_sign_in(cast: Cast) -> None:
    cast.owner.person.set_password("reeds-and-grain")
    cast.owner.person.save()
    turned(cast.owner.person, active=False)
    cast.helper.person.set_unusable_password()
    cast.helper.person.save()
    turned(cast.helper.person, role="owner")
    (said,) = rights.replay_rights()
    assert said.startswith("Edda Quarrie is an owner again, since nobody else could open the book")
    assert stands(cast.owner.person) == ("owner", True)
    assert stands(cast.helper.person) == ("owner", True)
    cast.helper.person.set_password("quails-in-the-reeds")
    cast.helper.person.save()
    assert rights.replay_rights() == []
    assert stands(cast.owner.person) == ("owner", False)


def test_who_came_since_is_there_under_the_same_id_and_cannot_sign_in_yet(cast: Cast) -> None:
    person = Person.objects.join(cast.owner.farm.pk, name="Sib Newcomer", role="helper", password="x-and-y-and-z")
    rights.note_person(person)
    id_ = person.pk
    person.delete()
    Person.objects.join(cast.stranger.farm.pk, name="Sib Newcomer", role="helper", password=None)
    (said,) = rights.replay_rights()
    assert said.startswith("Sib Newcomer (2) came to the farm after the back-up")
    again = Person.objects.get(pk=id_)
    assert (again.name, again.role, again.farm_id) == ("Sib Newcomer (2)", "helper", cast.owner.farm.pk)
    assert not again.has_usable_password()


def test_phones_and_secret_addresses(cast: Cast, signed_in: Any) -> None:
    farm = cast.owner.farm
    kept = Device.objects.create(farm=farm, name="kept", first_seen=NOW)
    lost = Device.objects.create(farm=farm, name="lost", first_seen=NOW)
    rights.note_unpaired(lost)
    links = [
        CalendarLink.objects.create(farm=farm, token="calendar-secret", made_at=NOW),
        SheetLink.objects.create(farm=farm, line=new_id(), token="sheet-secret", made_at=NOW),
    ]
    still = SheetLink.objects.create(farm=farm, line=new_id(), token="still-open", made_at=NOW)
    assert signed_in(cast.owner).delete("/api/calendar-link").status_code == 204
    rights.turn_off(SheetLink.objects.filter(token="sheet-secret"))
    assert "secret" not in rights.rights_list().read_text(), "their hashes alone are in the list"
    for link in links:
        link.save(force_insert=True)  # an older copy of the book has them
    rights.replay_rights()
    assert not CalendarLink.objects.exists()
    assert list(SheetLink.objects.all()) == [still]
    assert signed_in(cast.owner).get("/calendar/calendar-secret.ics").status_code == 404
    assert Device.objects.get(pk=lost.pk).unpaired_at is not None
    assert Device.objects.get(pk=kept.pk).unpaired_at is None


def test_a_list_that_was_cut_off_or_is_of_another_house(cast: Cast, tmp_path: Path) -> None:
    turned(cast.helper.person, active=False)
    with rights.rights_list().open("a") as file:
        file.write('{"person": "no id", "farm": "none"}\n{"phone": 7}\n[]\n')
        file.write(json.dumps({"person": new_id(), "farm": new_id(), "role": "owner", "active": True, "name": "x"}))
        file.write('\n{"person": "')
    assert rights.replay_rights() == []
    assert stands(cast.helper.person) == ("helper", False)


def test_two_copies_of_the_list(cast: Cast, tmp_path: Path) -> None:
    """What the back-up's says comes first: this house's is the longer one."""
    turned(cast.helper.person, active=False)
    theirs = tmp_path / "theirs.jsonl"
    theirs.write_text(rights.rights_list().read_text())
    turned(cast.helper.person, active=True)
    rights.merge_rights(theirs)
    assert len(rights.rights_list().read_text().splitlines()) == 2
    assert rights.rights_list().stat().st_mode & 0o777 == 0o600
    rights.replay_rights()
    assert stands(cast.helper.person) == ("helper", True)
    rights.rights_list().unlink()
    rights.merge_rights(theirs)
    rights.replay_rights()
    assert stands(cast.helper.person) == ("helper", False)
    rights.rights_list().unlink()
    rights.merge_rights(tmp_path / "none")
    assert not rights.rights_list().exists()
