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

from barnbook.house.at_boot import at_boot, this_system, this_user
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
        PureWindowsPath(r"C:\Users\José\bin\barnbook.exe"),
        PureWindowsPath(r"C:\Users\Edda\our barn & book"),
    )
    made = at_boot("windows", program=program, data=data, user="PANTRY\\José").text
    made.encode("ascii")  # whatever code page it is printed in
    task = ElementTree.fromstring(made)
    inside = {each.tag.rpartition("}")[2]: each.text for each in task.iter()}
    users = [each.text for each in task.iter() if each.tag.endswith("}UserId")]
    assert users == ["PANTRY\\José"] * 2, "its owner's sign-in opens the house, nobody else's"
    assert inside["Command"] == str(program)
    assert inside["Arguments"] == f'serve --data "{data}" --home'
    assert inside["ExecutionTimeLimit"] == "PT0S", "by itself Windows would stop it after three days"


def test_whose_sign_in_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("USERDOMAIN", "PANTRY")
    monkeypatch.setattr("getpass.getuser", lambda: "edda")
    assert this_user() == r"PANTRY\edda"
    monkeypatch.delenv("USERDOMAIN")
    assert this_user() == "edda"


@pytest.mark.parametrize(("says", "system"), [("Windows", "windows"), ("Darwin", "launchd"), ("Linux", "systemd")])
def test_each_machine_is_given_its_own(monkeypatch: pytest.MonkeyPatch, says: str, system: str) -> None:
    monkeypatch.setattr("platform.system", lambda: says)
    assert this_system() == system


def test_the_command_prints_the_file_alone(tmp_path: Path) -> None:
    said = run("at_boot", "--for", "launchd", "--data", str(tmp_path))
    assert plistlib.loads(said.stdout.encode())["ProgramArguments"][1:] == ["serve", "--data", str(tmp_path), "--home"]
    assert "launchctl bootstrap" in said.stderr
