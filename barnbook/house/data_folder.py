"""The folder that holds the book: chosen before Django is loaded, and held by one house at a time."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import IO

VARIABLE = "BARNBOOK_DATA"

if os.name == "nt":
    import msvcrt

    def _lock(file: IO[str]) -> None:
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
else:
    import fcntl

    def _lock(file: IO[str]) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


class DataFolderError(Exception):
    """The data folder cannot be used; the text is a sentence for the owner."""


def choose(arguments: Sequence[str]) -> list[str]:
    """Put the folder named by `--data` into the environment, where the settings read it; return the other arguments.

    The settings make the folder as they load, so whether it can be made and written is looked at here.
    Raises DataFolderError.
    """
    rest: list[str] = []
    waiting = iter(arguments)
    for argument in waiting:
        name, is_, value = argument.partition("=")
        if name != "--data":
            rest.append(argument)
            continue
        folder = value if is_ else next(waiting, "")
        if not folder:
            raise DataFolderError("--data needs a folder after it, such as --data ~/barnbook.")
        os.environ[VARIABLE] = folder
    if rest[:1] == ["serve"] and "--home" in rest:
        os.environ["BARNBOOK_HTTPS"] = "home"  # the settings are read before the command is
    _check(Path(os.environ.get(VARIABLE) or ".data").expanduser().absolute())
    return rest


def _check(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)  # the book is its owner's alone
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise DataFolderError(
            f"The data folder {folder} cannot be written ({error.strerror or error}): choose another with --data, "
            "or give yourself the right to write there."
        ) from None


def hold(folder: Path) -> IO[str]:
    """Take the folder for this process until it ends, even by force. Keep what is returned.

    Raises DataFolderError when another house has it.
    """
    file = take(folder / "house.lock")
    if file is None:
        raise DataFolderError(
            f"Another Barnbook is serving from {folder}: stop that one first, or choose another folder with --data."
        )
    return file


def take(path: Path) -> IO[str] | None:
    """Lock that file for this process; None when another process has it. The lock ends with the file or the process."""
    file = path.open("a+", encoding="utf-8")
    try:
        _lock(file)
    except OSError:
        file.close()
        return None
    return file
