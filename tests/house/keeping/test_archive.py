"""A farm's archive read into another house: nothing is lost."""

from __future__ import annotations

import json
import re
import uuid
import zipfile
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management import call_command
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from barnbook.barn.models import Customer, Device, Farm, Person, ReportLink, ReportRemark, ToReckon
from barnbook.house.keeping import archive
from barnbook.house.keeping.archive import LEFT_OUT, TABLES, write_archive
from barnbook.house.keeping.archive_in import ArchiveError, read_archive
from barnbook.journal.models import Entry, SetAside
from barnbook.journal.rebuild import differences, picture
from tests.conftest import Cast
from tests.journal.histories import histories
from tests.journal.test_laws import signed
from tests.scribe import DAY, NOON

pytestmark = pytest.mark.django_db


def take_away(farm: Farm) -> None:
    """As if this were another house: nothing of the farm is here."""
    SetAside.objects.of(farm).delete()
    Entry.objects.of(farm).delete()
    Farm.objects.filter(pk=farm.pk).delete()


def kept(farm: Farm) -> dict[str, list[Any]]:
    """Every column of every row of what the archive holds, but the place in the changes and the password."""
    left = ("seq", "password", "last_login")
    shown: dict[str, list[Any]] = {}
    for table in TABLES:
        rows = [{name: row[name] for name in row if name not in left} for row in table.rows_of(farm).values()]
        for row in rows:
            # The code is weighed anew: `stands` looks at it. An id that stays behind is drawn anew.
            for name in ("code", "detail") if table.model is Entry else {"id"} & table.without:
                row.pop(name)
        shown[table.file] = rows
    return shown


def stands(farm: Farm) -> dict[str, list[Any]]:
    """What stands in the barn, and of each entry how it is read. What waits for two things may name either."""
    entries = Entry.objects.of(farm).order_by("pk").values_list("pk", "state", "struck_by", "code", "detail")
    shown = [each[:4] if each[1] == "waits" else each for each in entries]
    return {**{name: rows for name, rows in picture(farm).items() if name != "Entry"}, "Entry": shown}


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(history=histories(most=25), data=st.data())
def test_any_history_comes_out_and_in_as_it_was(
    cast: Cast, tmp_path_factory: pytest.TempPathFactory, history: list[dict[str, Any]], data: st.DataObject
) -> None:
    from django.db import transaction

    path = tmp_path_factory.mktemp("archive") / "farm.zip"
    try:
        with transaction.atomic():
            cast.owner.send(*signed(cast, history), authors=[cast.owner.person, cast.helper.person])
            farm = Farm.objects.get(pk=cast.owner.farm.pk)
            outside_the_journal(farm, data.draw(st.lists(st.text(WORDS, min_size=1, max_size=30), max_size=3)))
            before, stood = kept(farm), stands(farm)
            write_archive(farm, path, now=NOON)
            take_away(farm)
            again = read_archive(path, now=NOON).farm
            assert stands(again) == stood
            assert kept(again) == before
            assert differences(again) == []
            # And what goes out of the other house is the archive that came in, line by line.
            second = path.with_name("again.zip")
            write_archive(again, second, now=NOON)
            assert lines_of(second) == lines_of(path)
            raise _TakeBackError
    except _TakeBackError:
        pass


# Any letter that both databases hold: no zero byte, and no half of a pair.
WORDS = st.characters(codec="utf-8", exclude_characters="\x00")


def outside_the_journal(farm: Farm, words: list[str]) -> None:
    """Customers, their links and remarks, and a phone that was unpaired."""
    for n, text in enumerate(words):
        someone = Customer.objects.create(farm=farm, name=f"Somebody {n}", contact=text, remarks=text, since=DAY)
        shipment = uuid.uuid4()
        ReportRemark.objects.create(
            farm=farm, shipment=shipment, customer=someone.pk, text=text, written_at=NOON + timedelta(microseconds=n)
        )
        ReportLink.objects.create(farm=farm, shipment=shipment, token_hash=f"{shipment.hex:0>64}", made_at=NOON)
        Device.objects.create(farm=farm, name=text, first_seen=NOON, unpaired_at=NOON, waiting=n)


def lines_of(path: Path) -> dict[str, list[Any]]:
    """What each file of an archive says, but what is weighed anew: why an entry waits or is asked about."""
    with zipfile.ZipFile(path) as file:
        told = {name: file.read(name).decode().split("\n") for name in file.namelist() if name != "README.txt"}
    rows = {name: [json.loads(line) for line in lines if line] for name, lines in told.items()}
    for row in rows["entries.jsonl"]:
        del row["code"], row["detail"]
    return rows


class _TakeBackError(Exception):
    pass


@pytest.fixture
def farm(cast: Cast) -> Farm:
    """A farm with a struck count, one set aside, one that waits, a customer."""
    cage = cast.owner.cage()
    cast.owner.stock(cage, hens=5)
    mistake = cast.helper.entry("egg_count", **cast.helper.count_body(cage, 4))
    cast.helper.send(mistake)
    cast.owner.write("strike", entry=mistake["id"], why="the wrong cage")
    cast.helper.count(cage, 3, round_="evening", day=DAY - timedelta(days=1))
    cast.helper.count(cage, 900, round_="noon")
    assert cast.helper.count("01977777-0000-7000-8000-000000000001", 3).verdict == "waits"
    assert cast.helper.count(cage, -1).verdict == "aside"
    Customer.objects.create(farm=cast.owner.farm, name="Wren Aldous", contact="wren at the mill", since=DAY)
    return Farm.objects.get(pk=cast.owner.farm.pk)


def test_by_the_commands(farm: Farm, cast: Cast, tmp_path: Path) -> None:
    path, said = tmp_path / "alders.zip", StringIO()
    before, stood, name = kept(farm), stands(farm), farm.name
    call_command("archive", path, "--farm", name, "--with-customers", stdout=said)
    assert said.getvalue() == f"Three Alders is in {path}: 7 entries, with its customers.\n"
    assert path.stat().st_mode & 0o777 == 0o600
    take_away(farm)
    Person.objects.join(cast.stranger.farm.pk, name="Edda Quarrie", role="helper", password="of-another-farm")
    said = StringIO()
    call_command("read_archive", path, stdout=said)
    assert said.getvalue().splitlines() == [
        "Three Alders was read in, whole, with 7 entries.",
        "There is a Edda Quarrie in this house already: Edda Quarrie of Three Alders signs in as Edda Quarrie (2).",
        "Passwords stay behind. Give one with: barnbook password 'Edda Quarrie (2)'",
    ]
    again = Farm.objects.get(pk=farm.pk)
    assert stands(again) == stood
    (owner,) = [row for row in before["people.jsonl"] if row["name"] == "Edda Quarrie"]
    owner["name"] = "Edda Quarrie (2)"
    assert kept(again) == before
    assert not Person.objects.get(name="Edda Quarrie (2)").has_usable_password()
    assert ToReckon.objects.filter(farm=again, subject="farm").exists()
    with pytest.raises(SystemExit, match="is in this house already"):
        call_command("read_archive", path)


def test_an_archive_to_give_away_has_no_customers_and_never_a_password(farm: Farm, tmp_path: Path) -> None:
    write_archive(farm, tmp_path / "a.zip", now=NOON, customers=False)
    with zipfile.ZipFile(tmp_path / "a.zip") as file:
        text = b"".join(file.read(name) for name in file.namelist()).decode()
    assert "Wren Aldous" not in text
    assert all(person.password not in text for person in Person.objects.of(farm))
    entries = [
        json.loads(line) for line in text.splitlines() if '"kind":"egg_count"' in line and "body" in json.loads(line)
    ]
    assert {(entry["body"]["eggs"], entry["author_id"]) for entry in entries} >= {
        (4, str(Person.objects.get(name="Jonah Quarrie").pk))
    }


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ("no zip", "is damaged or no archive"),
        ("another zip", "is no archive of a farm"),
        ("a line lacking", "entries.jsonl has 6 lines where 7 were written"),
        ("a line spoilt", "Line 1 of entries.jsonl cannot be read"),
        ("a kind of next year", "newer Barnbook"),
        ("a format of next year", "newer Barnbook"),
        ("a column of next year", "newer Barnbook: .* people.jsonl has 'shoe_size'"),
        ("a setting of next year", "newer Barnbook: .* farm.json has 'altitude_m'"),
        ("a file of next year", "newer Barnbook: .* It has feathers.jsonl"),
        ("an entry without its day", "Line 1 of entries.jsonl cannot be read"),
        ("under a password", "under a password"),
        ("nowhere", "cannot be read"),
    ],
)
def test_another_file_is_refused_and_nothing_is_read_in(farm: Farm, tmp_path: Path, wrong: str, sentence: str) -> None:
    good, path = tmp_path / "good.zip", tmp_path / "wrong.zip"
    write_archive(farm, good, now=NOON)
    take_away(farm)
    if wrong == "no zip":
        path.write_text("no zip")
    elif wrong != "nowhere":
        with zipfile.ZipFile(good) as old, zipfile.ZipFile(path, "w") as new:
            for name in old.namelist():
                new.writestr(name, _spoilt(wrong, name, old.read(name)))
        if wrong == "under a password":  # the flag is at 6 of a file's own header, at 8 of it in the directory
            raw = bytearray(path.read_bytes())
            for begins, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
                raw[raw.index(begins) + at] |= 1
            path.write_bytes(raw)
    with pytest.raises(ArchiveError, match=sentence):
        read_archive(path, now=NOON)
    assert not Farm.objects.filter(pk=farm.pk).exists()
    assert not Device.objects.filter(farm_id=farm.pk).exists()


def test_an_archive_from_before_a_column_was_added_comes_in_with_its_default(farm: Farm, tmp_path: Path) -> None:
    """As if `app` and `waiting` of phones, `remarks` of customers, `mends` of entries, the farm's weight unit and two
    whole tables had come later."""
    good, older = tmp_path / "good.zip", tmp_path / "older.zip"
    write_archive(farm, good, now=NOON)
    before = kept(farm)
    take_away(farm)
    later = {
        "phones.jsonl": ("app", "waiting"),
        "customers.jsonl": ("remarks",),
        "entries.jsonl": ("mends",),
        "farm.json": ("weight_unit",),
    }
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(older, "w") as new:
        for name in old.namelist():
            raw = old.read(name)
            if name in later:
                rows = [json.loads(line) for line in raw.decode().splitlines()]
                kept_back = [{key: row[key] for key in row if key not in later[name]} for row in rows]
                raw = "\n".join(json.dumps(row) for row in kept_back).encode()
            if name == "about.json":
                about = json.loads(raw)
                del about["lines"]["report_links.jsonl"], about["lines"]["report_remarks.jsonl"]
                raw = json.dumps(about).encode()
            if not name.startswith("report_"):
                new.writestr(name, raw)
    again = read_archive(older, now=NOON).farm
    assert again.weight_unit == "g"
    for row in before["phones.jsonl"]:
        row |= {"app": "", "waiting": 0}
    assert kept(again) == before
    assert differences(again) == []


def test_half_an_archive_is_none(farm: Farm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(archive, "_lines", full)
    with pytest.raises(SystemExit, match=r"cannot be written \(No space left on device\)"):
        call_command("archive", tmp_path / "a.zip", "--farm", farm.name)
    assert list(tmp_path.iterdir()) == []


def _spoilt(wrong: str, name: str, raw: bytes) -> bytes:
    if name == "entries.jsonl":
        first, rest = raw.split(b"\n", 1)
        if wrong == "a line lacking":
            return rest
        if wrong == "a line spoilt":
            return first[:-9] + b"\n" + rest
        if wrong == "a kind of next year":
            return raw.replace(b'"kind":"egg_count"', b'"kind":"egg_song"')
    if name == "entries.jsonl" and wrong == "an entry without its day":
        return re.sub(rb'"day":"[-0-9]+",', b"", raw, count=1)
    if name == "people.jsonl" and wrong == "a column of next year":
        return raw.replace(b'{"id"', b'{"shoe_size":43,"id"')
    if name == "farm.json" and wrong == "a setting of next year":
        return raw.replace(b'{"id"', b'{"altitude_m":240,"id"')
    if name == "about.json":
        if wrong == "a file of next year":
            return raw.replace(b'"lines":{', b'"lines":{"feathers.jsonl":1,')
        if wrong == "another zip":
            return b"{}"
        if wrong == "a format of next year":
            return raw.replace(b'"format":1', b'"format":2')
    return raw


def test_every_table_is_in_the_archive_or_it_is_said_why_not() -> None:
    """A new table of yours: name it in TABLES or LEFT_OUT of barnbook/house/keeping/archive.py."""
    ours = {model._meta.label for model in apps.get_models() if model.__module__.startswith("barnbook.")}
    assert ours == {table.model._meta.label for table in TABLES} | set(LEFT_OUT)
