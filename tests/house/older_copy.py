"""An older copy of a book, made and put back by hand as its owner might, with no command of the house."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path


def copy(data: Path, to: Path, book: dict[str, str]) -> Callable[[], None]:
    """Copy the book of a house that is closed; what is returned puts the copy back."""
    if not book:
        shutil.copy(data / "book.sqlite3", to)

        def back() -> None:
            for beside in ("-wal", "-shm"):
                (data / f"book.sqlite3{beside}").unlink(missing_ok=True)
            shutil.copy(to, data / "book.sqlite3")

        return back
    address = book["DATABASE_URL"]
    subprocess.run(["pg_dump", "--clean", "--if-exists", "-f", to, address], check=True)
    quiet = ["psql", "-q", "-v", "ON_ERROR_STOP=1", "-o", os.devnull, "-f", str(to), address]
    return lambda: subprocess.run(quiet, check=True) and None
