"""Counted things in sentences."""

from __future__ import annotations


def counted(count: int, thing: str) -> str:
    """So many of a thing, in words for a sentence: “one face”, “1,200 faces”."""
    return f"one {thing}" if count == 1 else f"{count:,} {thing}s"
