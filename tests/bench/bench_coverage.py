"""How often the 95 % limits of each figure hold the truth, in thousands of imagined barns.

    python tests/bench/bench_coverage.py [--times 5] [word of a figure ...]

Target (issue 3): 93 to 97 %, unless the figure's page states another share. Each case runs 5 times as many repeats as
its test; the table is that of docs/figures.md. Ends with an error when a share lies outside what is stated by more
than three of its own standard errors.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
import zlib
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from tests.figures.coverage import cases


def main() -> int:
    """Print one line a case."""
    asked = argparse.ArgumentParser(description="How often the limits hold.")
    asked.add_argument("words", nargs="*", help="run only figures whose name holds one of these")
    asked.add_argument("--times", type=int, default=5, help="repeats, in those of the test")
    told = asked.parse_args()
    outside = 0
    print("| figure | imagined truth | limits made | held | stated |")
    print("|---|---|---|---|---|")
    for case in cases():
        if told.words and not any(word in case.figure for word in told.words):
            continue
        began = time.perf_counter()
        rng = np.random.default_rng([1, zlib.crc32(f"{case.figure} {case.truth}".encode())])
        found = case.hold(rng, told.times * case.quick)
        share = float(found.mean())
        error = float(np.sqrt(share * (1 - share) / (told.times * case.quick)))
        least, most = case.stated
        wrong = not least - 3 * error <= share <= most + 3 * error
        outside += wrong
        print(
            f"| {case.figure} | {case.truth} | {found.size:,} | {100 * share:.1f} % "
            f"| {100 * least:g} to {100 * most:g} % |{' OUTSIDE' if wrong else ''}",
            flush=True,
        )
        print(f"    {time.perf_counter() - began:.1f} s", file=sys.stderr, flush=True)
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
