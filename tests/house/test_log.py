"""The house's log is kept in its folder, and never fills the disk."""

from __future__ import annotations

from pathlib import Path

from tests.house_at_work import run


def test_it_turns_over(tmp_path: Path) -> None:
    said = "import logging; [logging.getLogger('barnbook').warning('%s %s', n, 'x' * 999) for n in range(6000)]"
    assert run("shell", "-c", said, "--data", str(tmp_path)).returncode == 0
    logs = sorted(tmp_path.glob("house.log*"))
    assert [log.name for log in logs] == ["house.log", *(f"house.log.{n}" for n in range(1, 5))]
    assert all(log.stat().st_size <= 1_000_000 for log in logs)
    assert "5999 xxx" in logs[0].read_text().splitlines()[-1], "the newest is kept, the oldest is let go of"
