"""A stand in the years told, as the answers hold it."""

from dataclasses import dataclass

__all__ = ["YearTold"]


@dataclass(frozen=True, kw_only=True)
class YearTold:
    """A stand so many years from today, ``uncut`` or ``cut`` by its own guide, at middle growth; low and high: least
    and most of slow, middle and fast growth, so no odds.

    past_age: its short-lived trees are past their break-up; fuller: than uncut stands are found to stay; main, second:
    kinds with most basal area, by their shares of it; large_pct: the same of large trees; taken, lost: since today, by
    the saw and by break-up.
    """

    year: int
    way: str
    age_yr: float | None
    past_age: bool
    fuller: bool
    main: str
    main_pct: float
    second: str
    second_pct: float
    large_pct: float
    cords_per_ac: float
    cords_per_ac_low: float
    cords_per_ac_high: float
    cords: float
    cords_low: float
    cords_high: float
    basal_sqft_per_ac: float
    basal_sqft_per_ac_low: float
    basal_sqft_per_ac_high: float
    trees_per_ac: float | None
    trees_per_ac_low: float | None
    trees_per_ac_high: float | None
    qmd_in: float | None
    qmd_in_low: float | None
    qmd_in_high: float | None
    taken_cords_per_ac: float
    taken_cords_per_ac_low: float
    taken_cords_per_ac_high: float
    lost_cords_per_ac: float
    lost_cords_per_ac_low: float
    lost_cords_per_ac_high: float
