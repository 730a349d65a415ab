"""A line of the log: no address in it that would open something to whoever reads it."""

from __future__ import annotations

import logging
import re

# Addresses whose secret is the key: of a customer's report, a calendar, a public sheet, the first owner, a code.
_SECRET = re.compile(r"(/(?:report|calendar|sheet|begin|join)/|[?&](?:code|token)=)[\w.~%-]+")


def hidden(text: str) -> str:
    """The text without them."""
    return _SECRET.sub(r"\1(hidden)", text)


class SecretsHidden(logging.Filter):
    """For a logger that names the address asked for: whoever listens hears it without its secret."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = hidden(record.getMessage()), ()
        return True


class LogLine(logging.Formatter):
    """Hides them wherever they stand, in what is said and in where it failed."""

    def format(self, record: logging.LogRecord) -> str:
        return hidden(super().format(record))
