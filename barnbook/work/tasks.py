"""Huey's tasks: only nudges. What must be done is written in the book (ToReckon)."""

from __future__ import annotations
