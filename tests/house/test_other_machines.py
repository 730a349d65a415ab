"""What differs between the machines that a house stands on, tried by making this one behave as they do.

Windows, macOS and a Raspberry Pi themselves were not at hand.
"""

from __future__ import annotations

import ast
import logging
import os
from pathlib import Path
from typing import Any

import pytest

from barnbook.site.settings import secret_key
from barnbook.site.turning_log import TurningLog
from tests.house_at_work import HouseAtWork, until

PACKAGE = Path(__file__).parents[2] / "barnbook"
# Python's own documentation says "Availability: Unix" of these (docs.python.org/3/library/os.html, signal.html), or
# that the module is not there on Windows.
UNIX_ONLY_MODULES = {"fcntl", "grp", "pwd", "resource", "termios", "tty", "pty", "syslog", "readline"}
UNIX_ONLY_NAMES = {
    *("fchmod", "fchown", "chown", "lchown", "fork", "forkpty", "getuid", "geteuid", "getgid", "setuid", "setsid"),
    *("killpg", "getpgid", "mkfifo", "nice", "sched_getaffinity", "statvfs", "fdatasync", "sync", "uname", "umask"),
    *("SIGKILL", "SIGHUP", "SIGUSR1", "SIGUSR2", "SIGCHLD", "SIGALRM", "SIGSTOP", "SIGCONT", "alarm", "pthread_kill"),
}


# Called behind a look at what the machine has: the file, the name, and the look.
LOOKED_FOR = {
    ("house/data_folder.py", "fcntl"): 'if os.name == "nt":\n    import msvcrt\n',
    ("house/management/commands/reckon.py", "nice"): 'if hasattr(os, "nice"):\n            os.nice(',
}


def test_nothing_is_called_that_windows_lacks() -> None:
    found: set[tuple[str, str]] = set()
    for path in sorted(PACKAGE.rglob("*.py")):
        names: set[str] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names} & UNIX_ONLY_MODULES
            elif isinstance(node, ast.ImportFrom):
                names |= {node.module or ""} & UNIX_ONLY_MODULES
            elif (
                isinstance(node, ast.Attribute)
                and isinstance(node.value, ast.Name)
                and node.value.id in ("os", "signal")
            ):
                names |= {node.attr} & UNIX_ONLY_NAMES
        found |= {(path.relative_to(PACKAGE).as_posix(), name) for name in names}
    assert found == set(LOOKED_FOR)
    for (file, _), look in LOOKED_FOR.items():
        assert look in (PACKAGE / file).read_text(encoding="utf-8")


def test_every_text_file_is_read_and_written_in_a_named_encoding() -> None:
    """Left out, it would be the code page on Windows."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                continue
            if node.func.attr in ("read_text", "write_text") and not any(k.arg == "encoding" for k in node.keywords):
                found.append(f"{path.relative_to(PACKAGE)}:{node.lineno}")
    assert found == []


def test_a_folder_without_hard_links_holds_a_key_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A FAT stick, some shares."""

    def no_links(*_: Any) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    key = secret_key(tmp_path)
    assert len(key) > 60
    assert secret_key(tmp_path) == key
    assert [path.name for path in tmp_path.iterdir()] == ["secret-key"]


def test_a_log_that_cannot_be_renamed_grows_and_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows while another process has it open."""
    log = TurningLog(tmp_path / "house.log", maxBytes=100, backupCount=2, encoding="utf-8", delay=True)

    def say(n: int) -> None:
        log.handle(logging.LogRecord("barnbook", logging.INFO, "", 0, f"line {n:03} {'x' * 40}", None, None))

    def held(*_: Any) -> None:
        raise PermissionError(13, "The process cannot access the file because it is being used by another process")

    with monkeypatch.context() as elsewhere:
        elsewhere.setattr(os, "replace", held)
        for n in range(6):
            say(n)
    assert [path.name for path in tmp_path.iterdir()] == ["house.log"]
    assert len((tmp_path / "house.log").read_text().splitlines()) == 6
    say(6)
    assert (tmp_path / "house.log").read_text().startswith("line 006")
    assert len((tmp_path / "house.log.1").read_text().splitlines()) == 6
    for n in range(7, 20):
        say(n)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["house.log", "house.log.1", "house.log.2"]
    log.close()


def test_the_house_opens_where_its_words_go_to_an_old_code_page(tmp_path: Path) -> None:
    """As on Windows, where a task's words go to a file: no QR code is drawn, and nothing fails."""
    data = tmp_path / "Großer Stall Łódź"
    with HouseAtWork(data, "--home", "--plain-port", "0", PYTHONIOENCODING="ascii", PYTHONUTF8="0") as house:
        until(lambda: "Ctrl-C" in house.printed, what="all that it says")
        assert "Barnbook is open." in house.printed
        assert "█" not in house.printed
        assert "Traceback" not in house.printed
        assert house.stop() == 0
