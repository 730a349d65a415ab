"""How much a workbook's parts may hold, looked at piece by piece before any part is read whole.

A workbook is a zip of XML parts (ECMA-376). The reader behind us builds a tree of each part but the sheets and the
shared texts, and of those one of each row or text: a part of a few kilobytes, packed, may be gigabytes as a tree. So
each is walked first without building anything, and its elements are counted.
"""

from __future__ import annotations

import re
import zipfile
from typing import Any
from xml.parsers import expat

MOST_UNPACKED_BYTES = 60 * 1024 * 1024
MOST_PARTS = 2_000
MOST_OF_A_SHEET = 1_500_000  # elements: 20,000 rows of some 35 cells, each a cell and its value
MOST_OF_A_ROW = 50_000  # a row has at most 16,384 cells (ECMA-376 part 1, 18.3.1.73; from memory), of three elements
MOST_OF_A_PART = 100_000  # of styles, names, properties: everything that is built as one tree
LONGEST_TAG = 1024 * 1024
PIECE = 64 * 1024
STREAMED = re.compile(r"xl/(worksheets/[^/]+|sharedStrings)\.xml", re.IGNORECASE)


class TooMuchError(ValueError):
    """One part holds more than is read; the message is its name."""


def look_over(packed: zipfile.ZipFile) -> None:
    """Walk every part that is XML. Raises TooMuchError; zipfile.BadZipFile and others where a part is damaged."""
    if len(packed.infolist()) > MOST_PARTS:
        raise TooMuchError(f"{len(packed.infolist())} parts")
    for each in packed.infolist():
        if each.filename.lower().endswith((".xml", ".rels", ".vml")):
            _walk(packed, each, STREAMED.fullmatch(each.filename) is not None)


class _Counting:
    """Counts the elements of one part, and of the row or the like that it is in."""

    def __init__(self, name: str, streamed: bool) -> None:
        self.name, self.streamed = name, streamed
        self.all = self.of_row = self.depth = 0
        self.in_rows = False

    def start(self, tag: str, attributes: Any) -> None:
        self.all += 1
        self.depth += 1
        if self.depth == 2:
            self.in_rows = tag.rpartition(":")[2] == "sheetData"
        if self.depth == 2 or (self.depth == 3 and self.in_rows):
            self.of_row = 0
        self.of_row += 1
        most = MOST_OF_A_SHEET if self.streamed else MOST_OF_A_PART
        if self.all > most or (self.streamed and self.of_row > MOST_OF_A_ROW):
            raise TooMuchError(self.name)

    def end(self, tag: str) -> None:
        self.depth -= 1

    def doctype(self, *_: Any) -> None:
        raise TooMuchError(self.name)  # ECMA-376 part 2 has none in any part; entities within entities begin here


def _walk(packed: zipfile.ZipFile, part: zipfile.ZipInfo, streamed: bool) -> None:
    counting, parser = _Counting(part.filename[:80], streamed), expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = counting.start, counting.end
    parser.StartDoctypeDeclHandler = counting.doctype
    given = 0
    try:
        with packed.open(part) as file:
            while piece := file.read(PIECE):
                parser.Parse(piece, False)
                given += len(piece)
                if given - max(parser.CurrentByteIndex, 0) > LONGEST_TAG:
                    raise TooMuchError(counting.name)
            parser.Parse(b"", True)
    except expat.ExpatError:
        pass  # the reader says what it cannot read, and stops no later than here
