"""What makes the house open at boot is read by the parsers of its own kind."""

from __future__ import annotations

import configparser
import plistlib
import shlex
import shutil
import subprocess
from pathlib import Path, PurePosixPath, PureWindowsPath
from xml.etree import ElementTree

import pytest

from barnbook.house.at_boot import at_boot
from tests.house_at_work import run

PROGRAM, DATA = PurePosixPath("/home/edda/.local/bin/barnbook"), PurePosixPath("/home/edda/our barn & <book>")
WORDS = [str(PROGRAM), "serve", "--data", str(DATA), "--home"]


def test_systemd(tmp_path: Path) -> None:
    made = at_boot("systemd", program=PROGRAM, data=DATA)
    unit = configparser.ConfigParser(interpolation=None)
    unit.read_string(made.text)
    assert shlex.split(unit["Service"]["ExecStart"]) == WORDS
    assert unit["Install"]["WantedBy"] == "default.target"
    if shutil.which("systemd-analyze") is None:
        pytest.skip("systemd is not on this machine: the unit was not given to it")
    real = at_boot("systemd", program=PurePosixPath("/bin/true"), data=DATA)
    path = tmp_path / "barnbook.service"
    path.write_text(real.text)
    said = subprocess.run(["systemd-analyze", "verify", path], capture_output=True, text=True, check=False)
    assert "barnbook.service" not in said.stderr, said.stderr


def test_launchd() -> None:
    told = plistlib.loads(at_boot("launchd", program=PROGRAM, data=DATA).text.encode())
    assert (told["ProgramArguments"], told["RunAtLoad"]) == (WORDS, True)


def test_windows() -> None:
    program, data = (
        PureWindowsPath(r"C:\Users\Edda\bin\barnbook.exe"),
        PureWindowsPath(r"C:\Users\Edda\our barn & book"),
    )
    task = ElementTree.fromstring(at_boot("windows", program=program, data=data).text)
    inside = {each.tag.rpartition("}")[2]: each.text for each in task.iter()}
    assert inside["Command"] == str(program)
    assert inside["Arguments"] == f'serve --data "{data}" --home'
    assert inside["ExecutionTimeLimit"] == "PT0S", "by itself Windows would stop it after three days"


def test_the_command_prints_the_file_alone(tmp_path: Path) -> None:
    said = run("at_boot", "--for", "launchd", "--data", str(tmp_path))
    assert plistlib.loads(said.stdout.encode())["ProgramArguments"][1:] == ["serve", "--data", str(tmp_path), "--home"]
    assert "launchctl bootstrap" in said.stderr
