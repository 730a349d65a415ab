"""The log that is kept in the data folder, and turns over where another process has it open, too."""

from __future__ import annotations

import os
from logging.handlers import RotatingFileHandler


class TurningLog(RotatingFileHandler):
    """As its base. But Windows renames no file that another process has open (the reckoner's, say): then nothing is
    lost and nothing fails, the file grows meanwhile and turns over at a later line."""

    def doRollover(self) -> None:  # noqa: N802 (logging's own name)
        if self.stream:
            self.stream.close()
            self.stream = None  # opened again at the next line
        try:
            os.replace(self.baseFilename, self._aside)
        except OSError:
            return
        super().doRollover()

    def rotate(self, source: str, dest: str) -> None:
        os.replace(self._aside, dest)

    @property
    def _aside(self) -> str:
        return f"{self.baseFilename}.turning"
