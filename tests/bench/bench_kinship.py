"""How long inbreeding, the sparse inverse and breeding values take for 100,000 birds, beside the plain ways.

    python tests/bench/bench_kinship.py

Target (issue 3): inbreeding and sparse inverse of 100,000 birds over 30 generations with uncertain parents in at most
10 s and 2 GB; breeding values solved to 1e-8. Each case runs in a process of its own, so that its memory can be told.
"""

from __future__ import annotations

import multiprocessing
import os
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from barnbook.figures.breeding_values import BreedingValues, Weighing, breeding_values
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import coancestry, relationship, sparse_inverse
from barnbook.figures.pedigree import Mating, Origin, Pedigree, mating, pedigree

GENERATIONS = 30


def cages(rng: np.random.Generator, size: int) -> dict[str, Origin]:
    """50 cages a generation, two cocks and six hens each: what a barn looks like."""

    def parents(cocks: list[str], hens: list[str], count: int) -> list[Mating]:
        stand = [
            mating(
                cocks=[str(name) for name in rng.choice(cocks, 2, replace=False)],
                hens=[str(name) for name in rng.choice(hens, 6, replace=False)],
            )
            for _ in range(50)
        ]
        return [stand[at] for at in rng.integers(50, size=count)]

    return flock(parents, size)


def each_its_own(rng: np.random.Generator, size: int) -> dict[str, Origin]:
    """Every bird with two cocks and three hens of its own, drawn from all of the last generation: the hardest."""

    def parents(cocks: list[str], hens: list[str], count: int) -> list[Mating]:
        found = []
        for _ in range(count):
            c, h = rng.integers(len(cocks), size=2), rng.choice(len(hens), size=3, replace=False)
            found.append(mating(cocks=sorted({cocks[at] for at in c}), hens=[hens[at] for at in h]))
        return found

    return flock(parents, size)


def flock(parents: Callable[[list[str], list[str], int], list[Mating]], size: int) -> dict[str, Origin]:
    names = [f"0-{i}" for i in range(size)]
    origins: dict[str, Origin] = dict.fromkeys(names)
    for number in range(1, GENERATIONS + 1):
        found = parents(names[0::2], names[1::2], size)
        names = [f"{number}-{i}" for i in range(size)]
        origins |= dict(zip(names, found, strict=True))
    return origins


def overlapping(rng: np.random.Generator, size: int) -> dict[str, Origin]:
    """No clear generations: each bird has two cocks and three hens among the last 3,000 birds."""
    n = size * (GENERATIONS + 1)
    origins: dict[str, Origin] = {f"b{i}": None for i in range(size)}
    for i in range(size, n):
        at = i - 1 - rng.integers(3_000, size=12)
        cocks = [f"b{j}" for j in sorted(set((at - at % 2)[:2].tolist()))]
        hens = [f"b{j}" for j in sorted(set((at - at % 2 - 1)[2:5].tolist()))]
        origins[f"b{i}"] = mating(cocks=cocks, hens=hens)
    return origins


KINDS = {"cages": cages, "each its own": each_its_own, "overlapping": overlapping}


def peak_gb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2


def timed(work: Callable[[], object]) -> tuple[float, object]:
    """Wall time and what came of it."""
    began = time.perf_counter()
    found = work()
    return time.perf_counter() - began, found


def at_size(kind: str, size: int) -> None:
    origins = KINDS[kind](np.random.default_rng(1), size)
    began = time.process_time()
    built_s, built = timed(lambda: pedigree(origins))
    assert isinstance(built, Pedigree)
    f_s, known = timed(lambda: inbreeding(built))
    inverse_s, inverse = timed(lambda: sparse_inverse(built, known=known))  # type: ignore[arg-type]
    total = built_s + f_s + inverse_s
    steps = f"pedigree {built_s:.2f} s, inbreeding {f_s:.2f} s, inverse {inverse_s:.2f} s"
    print(
        f"{kind:13} {len(built.birds):7,} birds: {steps}, together {total:.2f} s (10; processor"
        f" {time.process_time() - began:.2f} s), peak {peak_gb():.2f} GB (2),"
        f" mean F of the last {np.mean(known.f[-size:]):.4f}, {inverse.nnz:,} cells",  # type: ignore[attr-defined]
        flush=True,
    )
    last = list(built.birds[-80:])
    few_s, _ = timed(lambda: coancestry(built, last[:20], last[20:], known=known))  # type: ignore[arg-type]
    print(f"{'':13} coancestry of 20 cocks and 60 hens of it: {few_s:.2f} s", flush=True)


def values_at_size(kind: str, size: int) -> None:
    rng = np.random.default_rng(2)
    built = pedigree(KINDS[kind](rng, size))
    known = inbreeding(built)
    inverse = sparse_inverse(built, known=known)
    weighings = [
        Weighing(bird, float(weight), "cock" if row % 2 == 0 else "hen", f"hatch {built.generation[row]}-{row % 4}")
        for row, (bird, weight) in enumerate(zip(built.birds, rng.normal(300, 25, len(built.birds)), strict=True))
        if built.generation[row] > 0
    ]
    seconds, found = timed(
        lambda: breeding_values(
            weighings,
            pedigree=built,
            known=known,
            inverse=inverse,
            candidates=built.birds[-200:],
            told_heritability=0.35,
        )
    )
    assert isinstance(found, BreedingValues)
    print(
        f"{kind:13} breeding values of {len(built.birds):,} birds, {found.n:,} weights: {seconds:.1f} s, residual "
        f"{found.residual:.1e} (1e-8), peak {peak_gb():.2f} GB",
        flush=True,
    )


def beside_the_plain_way(birds: int) -> None:
    """The tabular method and a dense inverse, as someone would write them at first, on what they can hold."""
    size = birds // (GENERATIONS + 1)
    built = pedigree(cages(np.random.default_rng(3), size))

    def tabular() -> np.ndarray:
        n = len(built.birds)
        table = np.zeros((n, n))
        order = np.argsort(built.generation, kind="stable")
        parents, matings = built.origin_parents, built.mating_cocks
        for row in order.tolist():
            origin = int(built.origin_of[row])
            if origin < 0:
                table[row, row] = 1
                continue
            q = parents.indices[parents.indptr[origin] : parents.indptr[origin + 1]]
            share = parents.data[parents.indptr[origin] : parents.indptr[origin + 1]]
            table[row] = share @ table[q]
            table[:, row] = table[row]
            cocks, hens = matings[[origin]], built.mating_hens[[origin]]
            table[row, row] = 1 + cocks.data @ table[np.ix_(cocks.indices, hens.indices)] @ hens.data / 2
        return table

    plain_s, table = timed(tabular)
    ours_s, known = timed(lambda: inbreeding(built))
    assert np.allclose(np.diag(table) - 1, known.f, atol=1e-12)  # type: ignore[call-overload,attr-defined]
    plain_inverse_s, dense = timed(lambda: np.linalg.inv(table))  # type: ignore[arg-type]
    our_inverse_s, sparse = timed(lambda: sparse_inverse(built, known=known))  # type: ignore[arg-type]
    assert np.allclose(dense, sparse.toarray(), atol=1e-8)  # type: ignore[attr-defined,arg-type]
    assert np.allclose(table, relationship(built, known=known), atol=1e-12)  # type: ignore[arg-type]
    print(
        f"{len(built.birds):,} birds: inbreeding by the table {plain_s:.2f} s, ours {ours_s:.3f} s, ratio "
        f"{plain_s / ours_s:.0f}; inverse by numpy.linalg.inv {plain_inverse_s:.2f} s, ours {our_inverse_s:.3f} s, "
        f"ratio {plain_inverse_s / our_inverse_s:.0f}",
        flush=True,
    )


def alone(work: Callable[..., None], *arguments: object) -> None:
    process = multiprocessing.get_context("spawn").Process(target=work, args=arguments)
    process.start()
    process.join()
    if process.exitcode:
        sys.exit(process.exitcode)


if __name__ == "__main__":
    for named in KINDS:
        alone(at_size, named, 3_334)
    for named in ("cages", "each its own"):
        alone(values_at_size, named, 3_334)
    alone(beside_the_plain_way, 4_000)
