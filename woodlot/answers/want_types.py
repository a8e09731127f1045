"""One thing that the household wants, as an answer holds it."""

from dataclasses import dataclass

__all__ = ["Wanted"]


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One thing wanted: asked, made and left in its unit, mmbtu the heat of what is left of firewood.

    often: once or each year; by: the last day; late: whether it is gone by; asked_on: the day from which notes count;
    build: what it is a piece of; words: all of it in a sentence.
    """

    line: str
    product: str
    unit: str
    asked: float
    made: float
    left: float
    mmbtu: float | None
    often: str
    by: str | None
    late: bool
    asked_on: str | None
    purpose: str
    build: str
    words: str
