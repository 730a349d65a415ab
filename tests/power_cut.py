"""What a disk holds when the power fails: only what a program had synced, and by chance some of what it had not.

No test can pull the plug. But a program tells the system of every write and every sync, and strace (Debian: strace)
writes that down. Played over a copy of the folder up to some moment, it gives the disk of a power cut at that moment,
in the meaning of POSIX: a file's bytes are sure once fsync or fdatasync of it has returned, a new or changed name once
its folder has been synced. Whether a disk obeys when it is told to sync is the disk's.
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

CHANGES = "openat,creat,write,writev,pwrite64,pwritev,ftruncate,rename,renameat,renameat2,unlink,unlinkat"
SYNCS, SAYS = "fsync,fdatasync", "sendto,sendmsg"
CALL = re.compile(r"(\d+) +(?:<\.\.\. )?(\w+)(\(| resumed>)(.*)", re.DOTALL)
SAYING = re.compile(r"\d+ +(write|writev|sendto|sendmsg)\(")
FOLDER = re.compile(r"(?:AT_FDCWD|\d+)<([^>]*)>")
QUOTED = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
RETURNED = re.compile(r"(.*)\) += (\d+)", re.DOTALL)
UNFINISHED = " <unfinished ...>"

Change = Callable[[bytearray], None]


def watched(log: Path) -> list[str]:
    """What to put before a command so that it is written down in `log`. The command stays a child of the caller's."""
    how = ["-D", "-f", "-qq", "--seccomp-bpf", "-y", "-xx", "-s", "100000000", "-e", "signal=none"]
    return ["strace", *how, "-e", f"trace={CHANGES},{SYNCS},{SAYS}", "-o", str(log)]


def needs_strace() -> None:
    """Fail the test where strace is not installed; skip it where this machine lets no program be watched."""
    if shutil.which("strace") is None:
        pytest.fail("This test needs strace: install Debian's package 'strace' and run it again.")
    if subprocess.run(["strace", "-f", "--seccomp-bpf", "true"], capture_output=True, check=False).returncode != 0:
        pytest.skip("this machine lets no program be watched by another (ptrace)")


@dataclass
class _File:
    """sure: what survives.  changes: all, in order; the first `synced` are in `sure`.  length: as it is live."""

    sure: bytearray = field(default_factory=bytearray)
    changes: list[Change] = field(default_factory=list)
    synced: int = 0
    length: int = 0

    def write(self, at: int, content: bytes) -> None:
        def done(disk: bytearray) -> None:
            disk.extend(bytes(max(0, at - len(disk))))
            disk[at : at + len(content)] = content

        self.changes.append(done)
        self.length = max(self.length, at + len(content))

    def cut(self, length: int) -> None:
        def done(disk: bytearray) -> None:
            del disk[length:]
            disk.extend(bytes(length - len(disk)))

        self.changes.append(done)
        self.length = length

    def sync(self, upto: int) -> None:
        for done in self.changes[self.synced : upto]:
            done(self.sure)
        self.synced = max(self.synced, upto)


class Disk:
    """A folder as it was before the program began, and what is known of it since.

    before: a copy of the folder as it was then.  folder: where the program had it.
    names_with_files: a new file's name is sure with its own first sync, as ext4 and F2FS have it, not only with its
    folder's.
    """

    def __init__(self, before: Path, folder: Path, *, names_with_files: bool = False) -> None:
        self.folder, self.names_with_files = folder.resolve(), names_with_files
        self.live: dict[str, _File] = {}
        for path in before.rglob("*"):
            if path.is_file() and not path.is_symlink():
                content = bytearray(path.read_bytes())
                self.live[str(self.folder / path.relative_to(before))] = _File(content, length=len(content))
        self.named = dict(self.live)

    def play(self, log: Path, *, until: bytes) -> Disk:
        """What was written down, up to the moment at which the program first says `until` to anybody. Raises
        AssertionError when it never did."""
        said = re.escape("".join(f"\\x{byte:02x}" for byte in until))
        begun: dict[str, tuple[str, int]] = {}
        for line in _lines(log):
            if SAYING.match(line) and re.search(said, line):
                return self
            found = CALL.match(line)
            if found is None:
                continue
            thread, name, how, rest = found.groups()
            if rest.endswith(UNFINISHED):
                rest = rest.removesuffix(UNFINISHED)
                begun[thread] = rest, self._changes(rest)
                continue
            before, changes = ("", self._changes(rest)) if how == "(" else begun.pop(thread, ("", 0))
            whole = RETURNED.match(before + rest)
            if whole is not None:
                self._play(name, whole[1].strip(), int(whole[2]), changes)
        raise AssertionError(f"The program never said {until!r}.")

    def _changes(self, told: str) -> int:
        """How many changes of its file there are: a sync covers those before it began."""
        file = self.live.get(_folder(told))
        return len(file.changes) if file else 0

    def _play(self, name: str, told: str, returned: int, changes: int) -> None:
        path = _folder(told)
        if name in ("openat", "creat", "rename", "renameat", "renameat2", "unlink", "unlinkat"):
            names = [each if each.startswith("/") else f"{path}/{each}" for each in map(_text, QUOTED.findall(told))]
            self._name(name, told, names)
        elif name in ("fsync", "fdatasync") and path not in self.live:
            self._sync_names(path)
        elif path not in self.live:
            return
        elif name in ("fsync", "fdatasync"):
            self.live[path].sync(changes)
            if self.names_with_files:
                self.named[path] = self.live[path]
        elif name == "ftruncate":
            self.live[path].cut(int(told.rsplit(",", 1)[1]))
        else:
            content = b"".join(map(_bytes, QUOTED.findall(told)))[:returned]
            at = int(told.rsplit(",", 1)[1]) if name.startswith("pwrite") else self.live[path].length
            self.live[path].write(at, content)

    def _name(self, name: str, told: str, names: list[str]) -> None:
        if not names[0].startswith(f"{self.folder}/"):
            return
        if name.startswith("rename"):
            if names[0] in self.live:
                self.live[names[1]] = self.live.pop(names[0])
        elif name.startswith("unlink"):
            self.live.pop(names[0], None)
        else:
            if "O_CREAT" in told or name == "creat":
                self.live.setdefault(names[0], _File())
            if ("O_TRUNC" in told or name == "creat") and names[0] in self.live:
                self.live[names[0]].cut(0)

    def _sync_names(self, folder: str) -> None:
        inside = re.compile(re.escape(folder) + r"/[^/]+")
        self.named = {path: file for path, file in self.named.items() if not inside.fullmatch(path)}
        self.named |= {path: file for path, file in self.live.items() if inside.fullmatch(path)}

    def lay_down(self, to: Path, *, by_chance: random.Random | None = None) -> Path:
        """The disk at that moment as a folder. by_chance: draws which of the changes that no sync had covered have
        reached it all the same; None: none of them."""
        for path, file in self.named.items():
            content = bytearray(file.sure)
            for done in file.changes[file.synced :]:
                if by_chance is not None and by_chance.random() < 0.5:
                    done(content)
            there = to / Path(path).relative_to(self.folder)
            there.parent.mkdir(parents=True, exist_ok=True)
            there.write_bytes(content)
        return to


def _lines(log: Path) -> Iterator[str]:
    with log.open(encoding="ascii", errors="replace") as lines:
        for line in lines:
            yield line.rstrip("\n")


def _folder(told: str) -> str:
    """What the first argument is open on: a file, or the folder that a name is meant in."""
    found = FOLDER.match(told)
    return _text(found[1]) if found else ""


def _text(told: str) -> str:
    return _bytes(told).decode("utf-8", "replace")


def _bytes(told: str) -> bytes:
    return bytes.fromhex(told.replace("\\x", ""))
