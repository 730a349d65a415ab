"""The wheel in an empty environment: one file that carries the app, and `barnbook serve` is all."""

from __future__ import annotations

import os
import ssl
import subprocess
import sys
import urllib.request
import zipfile
from pathlib import Path

import pytest

from tests.house_at_work import HouseAtWork, environment

ROOT = Path(__file__).parents[2]
UV = Path(sys.executable).parent / "uv"
APP = Path(os.environ.get("BARNBOOK_APP") or ROOT / "frontend" / "dist")


def do(*command: str | Path) -> str:
    done = subprocess.run(command, cwd=ROOT, env=environment(), capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_is_installed_in_an_empty_environment_and_served(tmp_path: Path) -> None:
    if not (APP / "sw.js").exists():
        pytest.fail("The app is not built: run `make test`, which builds it.")
    wheel = Path(do("frontend/make-wheel.sh", APP, tmp_path / "out").strip())
    with zipfile.ZipFile(wheel) as file:
        names = set(file.namelist())
    assert {"barnbook/web/index.html", "barnbook/web/sw.js"} <= names
    assert not [name for name in names if "__pycache__" in name or name.startswith(("tests/", "frontend/"))]

    empty = tmp_path / "empty"
    do(UV, "venv", "--quiet", "--python", sys.executable, empty)
    do(UV, "pip", "install", "--quiet", "--python", empty / "bin" / "python", wheel)
    program = str(empty / "bin" / "barnbook")
    with HouseAtWork(tmp_path / "data", program=(program,), cwd=tmp_path) as house:
        for path, text in (("/", "<title>Barnbook</title>"), ("/cages", "<title>Barnbook</title>"), ("/sw.js", "")):
            with urllib.request.urlopen(house.address + path) as answer:
                assert (answer.status, text in answer.read().decode()) == (200, True)
        assert house.stop() == 0
        assert "Traceback" not in house.printed

    # As a house at home is run: by https, opened at boot by the installed program, and asked whether it is well.
    home = tmp_path / "home"
    with HouseAtWork(home, "--home", "--plain-port", "0", program=(program,), cwd=tmp_path) as house:
        trust = ssl.create_default_context(cafile=str(home / "home" / "authority.pem"))
        at = f"https://localhost:{house.address.rsplit(':', 1)[1]}"
        for path in ("/", "/report/look.css", "/sheet/schema.json"):
            with urllib.request.urlopen(at + path, context=trust) as answer:
                assert answer.status == 200
        told = subprocess.run(
            [program, "check", "--data", home], env=environment(), capture_output=True, text=True, check=False
        )
        assert "well  Certificate" in told.stdout, told.stdout + told.stderr
        assert house.stop() == 0
        assert "Traceback" not in house.printed
    unit = do(program, "at_boot", "--for", "systemd", "--data", home)
    assert f'ExecStart="{program}" "serve" "--data" "{home}" "--home"' in unit
