"""Everything woodlot raises or warns of.

WoodlotError                     root; never raised itself
+-- PlaceError (ValueError)      the family's files cannot be used as they are; carries every Fault
+-- TableError (ValueError)      a coefficient table of a region is wrong or lacks a row
+-- InputError (ValueError)      an argument has a wrong unit, shape or value
+-- NoAnswer (LookupError)       there is too little to give an answer; says what would be enough

WoodlotWarning (UserWarning)     the answer stands but with a caution that reaches map and report
"""

from dataclasses import dataclass


class WoodlotError(Exception):
    """Root of all errors of this package."""


@dataclass(frozen=True)
class Fault:
    """One thing to mend in the family's files.

    file: name of the file within the place; row: row as a spreadsheet counts (1 is the heading), None for a whole
    file; column: column name or ""; found: what stands there; remedy: what would be right.
    """

    file: str
    row: int | None
    column: str
    found: str
    remedy: str

    def where(self, rows: str = "") -> str:
        """File, row (or ``rows``, for a fault of many) and column, and what stands there."""
        row = rows or ("" if self.row is None else f"row {self.row}")
        place = ", ".join(part for part in (self.file, row, self.column) if part)
        return f"{place}: {self.found}" if self.found else place

    def __str__(self) -> str:
        return f"{self.where()}\n      {self.remedy}"


class PlaceError(WoodlotError, ValueError):
    """The family's files cannot be used as they are; ``faults`` holds every one of them."""

    def __init__(self, faults: list[Fault]):
        """Keep the faults and say them all."""
        self.faults = list(faults)
        super().__init__("\n".join(str(f) for f in self.faults))


class TableError(WoodlotError, ValueError):
    """A coefficient table of a region is wrong or lacks a row that was asked for."""


class InputError(WoodlotError, ValueError):
    """An argument has a wrong unit, shape or value."""


class NoAnswer(WoodlotError, LookupError):
    """There is too little to give an answer; the message says what would be enough."""


class WoodlotWarning(UserWarning):
    """The answer stands, with a caution that reaches map and report."""
