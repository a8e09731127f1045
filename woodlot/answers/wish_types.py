"""Wishes of the family and what stands under them, and the sugarbush, in the answers."""

from dataclasses import dataclass

from woodlot.estimate import Number

__all__ = ["Sugarbush", "Wish", "WishedWood"]


@dataclass(frozen=True)
class Wish:
    """A wish for a stand or a part of it: acres under it, the cords there (their part of the stand's), and in words."""

    stand_id: str
    parcel_id: str | None
    wish: str
    until: int | None
    acres: float
    whole: bool
    cords: Number
    words: str


@dataclass(frozen=True)
class WishedWood:
    """All ground of one wish: its stands, acres, acres among them without plots, and cords, which are part of what
    stands in all.
    """

    wish: str
    stands: tuple[str, ...]
    acres: float
    acres_without: float
    cords: Number
    words: str


@dataclass(frozen=True)
class Sugarbush:
    """A stand to tap: taps that its sound maples bear, the syrup they may give, and what the ledger notes."""

    stand_id: str
    acres: float
    taps: Number
    syrup_gal: Number
    unsound_taps: float
    noted_taps: int | None
    noted_on: str | None
    noted_syrup_gal: Number | None
    spring: int | None
    made_sap_gal: float
    made_syrup_gal: float
    words: tuple[str, ...]
    cautions: tuple[str, ...]
