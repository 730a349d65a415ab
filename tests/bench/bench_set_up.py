"""From a clean clone to a book that can be opened: `make run`, with cold caches and a second time.

    python -m tests.bench.bench_set_up [the folder or address to clone]

Everything that `make run` would find from an earlier time is put where nothing is: the caches of pip, uv and npm. What
is fetched comes over this machine's network, whose speed is in the figure. The clock stops when the page and an answer
of the house have both come. Without make, git, npm or python3 it says so and measures nothing.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from tests.browser.house import bare_environment, free_port

FIRST_S = 60
AGAIN_S = 5
AGAIN = 5
PATIENCE_S = 900
NEEDED = ("git", "make", "npm", "python3")
ROOT = Path(__file__).parents[2]


def say(what: str, value: float, most: float, *, beside: str = "") -> bool:
    print(f"{what:<58}{value:8.1f} s   to reach: {most:g} s{'' if value <= most else '   MISSED'}{beside}", flush=True)
    return value <= most


def opens(url: str) -> bool:
    try:
        for path in ("/", "/api/house"):
            with urllib.request.urlopen(f"{url}{path}", timeout=2):
                pass
        return True
    except OSError:
        return False


def make_run(clone: Path, environment: dict[str, str]) -> float:
    """Seconds from `make run` to an open book; then it is stopped as Ctrl-C would."""
    port = free_port()
    log = clone.parent / "make-run.log"
    began = time.perf_counter()
    with log.open("w") as out:
        making = subprocess.Popen(
            ["make", "run", f"PORT={port}", f"BARNBOOK_DATA={clone.parent / 'data'}"],
            cwd=clone,
            env=environment,
            stdout=out,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            while not opens(f"http://127.0.0.1:{port}"):
                if making.poll() is not None or time.perf_counter() - began > PATIENCE_S:
                    raise SystemExit(f"make run did not open a book:\n{log.read_text()[-3000:]}")
                time.sleep(0.02)
            return time.perf_counter() - began
        finally:
            if making.poll() is None:
                os.killpg(making.pid, signal.SIGINT)
                making.wait(timeout=30)


def main() -> int:
    missing = [each for each in NEEDED if shutil.which(each) is None]
    if missing:
        print(f"Not measured: {', '.join(missing)} is not on this machine.")
        return 0
    origin = sys.argv[1] if len(sys.argv) > 1 else str(ROOT)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        clone, caches = Path(folder) / "barnbook", Path(folder) / "caches"
        subprocess.run(["git", "clone", "--quiet", origin, str(clone)], check=True)
        environment = {
            **bare_environment(),
            "UV_CACHE_DIR": str(caches / "uv"),
            "npm_config_cache": str(caches / "npm"),
            "PIP_CACHE_DIR": str(caches / "pip"),
        }
        environment.pop("VIRTUAL_ENV", None)
        well = say("make run from a clean clone, cold caches", make_run(clone, environment), FIRST_S)
        again = sorted(make_run(clone, environment) for _ in range(AGAIN))
        beside = f"   (median of {AGAIN}: {', '.join(f'{each:.1f}' for each in again)})"
        return 0 if say("make run again", again[AGAIN // 2], AGAIN_S, beside=beside) and well else 1


if __name__ == "__main__":
    raise SystemExit(main())
