"""The rules of the house, kept by a test, so that the map does not drift from the ground."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from django.apps import apps

ROOT = Path(__file__).parents[2]
LAYERS = ("figures", "barn", "journal", "work", "house")  # lowest first
VAGUE = {"utils", "util", "helpers", "helper", "common", "core", "misc"}
MOST_LINES = {"code": 450, "tests": 600}  # one idea a file is the law; this only asks the question


def tracked(*patterns: str) -> list[Path]:
    listed = subprocess.run(["git", "ls-files", *patterns], cwd=ROOT, capture_output=True, text=True, check=True)
    return [ROOT / line for line in listed.stdout.splitlines() if (ROOT / line).exists()]


TOP = {"pyproject.toml", "README.md", "DEVELOPERS.md", "barnbook", "frontend", "tests", "fixtures", "docs"}
BESIDE = {"Makefile", "LICENSE", "requirements.lock"}


def test_nothing_else_stands_at_the_top() -> None:
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in top if not name.startswith(".")} <= TOP | BESIDE


def test_no_file_has_a_name_that_says_nothing() -> None:
    vague = [path for path in tracked() if path.stem.lower() in VAGUE or path.parent.name.lower() in VAGUE]
    assert vague == []


def test_no_file_of_code_has_grown_past_one_idea() -> None:
    code = [path for path in tracked("*.py", "*.ts", "*.tsx", "*.css") if "migrations" not in path.parts]
    lines = {str(path.relative_to(ROOT)): len(path.read_text().splitlines()) for path in code}
    most = {name: MOST_LINES["tests" if "test" in name else "code"] for name in lines}
    assert {name: number for name, number in lines.items() if number > most[name]} == {}


def test_every_part_says_what_it_is_for() -> None:
    parts = [
        path for path in tracked("barnbook/**/__init__.py", "barnbook/__init__.py") if "migrations" not in path.parts
    ]
    silent = [
        str(path.relative_to(ROOT))
        for path in parts
        if not path.read_text().startswith('"""') and "management" not in path.parts
    ]
    assert silent == []


def test_every_figure_has_its_test_beside_it() -> None:
    chapters = [path.stem for path in tracked("barnbook/figures/*.py") if path.stem not in ("__init__", "estimate")]
    tests = {path.stem for path in tracked("tests/figures/test_*.py")}
    assert [chapter for chapter in chapters if f"test_{chapter}" not in tests] == []


@pytest.mark.parametrize("page", ["docs/where-is-it.md", "DEVELOPERS.md"])
def test_every_path_that_the_map_names_is_there(page: str) -> None:
    named = re.findall(r"`((?:barnbook|frontend|tests|docs|fixtures)/[\w./-]+)`", (ROOT / page).read_text())
    assert named
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_links_between_documents_lead_somewhere() -> None:
    lost = []
    for page in [ROOT / "README.md", ROOT / "DEVELOPERS.md", *tracked("docs/**/*.md", "docs/*.md")]:
        for link in re.findall(r"\]\(([^)#:]+)\)", page.read_text()):
            if not (page.parent / link).exists():
                lost.append(f"{page.name}: {link}")
    assert lost == []


def test_foreign_keys_point_downhill() -> None:
    uphill = []
    for model in apps.get_models():
        own = model._meta.app_label
        for field in model._meta.concrete_fields:
            other = field.related_model._meta.app_label if field.is_relation else own  # type: ignore[union-attr]
            if own in LAYERS and other in LAYERS and LAYERS.index(other) > LAYERS.index(own):
                uphill.append(f"{own}.{model.__name__}.{field.name} -> {other}")
    assert uphill == []


def test_every_kind_of_entry_is_on_the_phone_too() -> None:
    from barnbook.journal.kinds import KINDS

    phone = {path.stem for path in tracked("frontend/src/book/kinds/*.ts")}
    assert [name for name in KINDS if name.replace("_", "-") not in phone] == []


def test_the_lock_files_name_no_address() -> None:
    for path in ("requirements.lock", "frontend/package-lock.json"):
        text = (ROOT / path).read_text()
        assert '"resolved"' not in text
        assert not re.search(r"https?://\S+\.(whl|tgz|tar\.gz)", text)
