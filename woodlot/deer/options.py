"""What a family knows or wishes about its deer: the part [deer] of place.toml, as the chapter reads it.

DeerSettings   one field a key; a key nobody wrote is None, and the region's figure stands in its place
"""

from typing import Annotated

from woodlot import trade
from woodlot.column_kinds import Among, Day, Row, Species, YesNo, column

__all__ = ["DeerSettings"]


class DeerSettings(Row):
    """What the family knows or wishes about the deer."""

    goal: Annotated[str, Among(trade.GOALS)] = column(
        "hold the herd, let it grow, or bring it down for the trees", default="hold"
    )
    neighbors_join: YesNo = column("true if the neighbors bring the herd down with you", default=False)
    leaf_off: Day | None = column("day the leaves were down, as 2025-10-25")
    groups_per_deer_per_day: float | None = column("pellet groups a deer drops in a day", "", 5, 60)
    neighbor_bucks_per_sqmi: float | None = column("bucks the neighbors take", "per sq mi", 0, 30)
    neighbor_does_per_sqmi: float | None = column("does the neighbors take", "per sq mi", 0, 30)
    home_range_ac: float | None = column("ground a deer lives on", "ac", 20, 20_000)
    farmland_pct: float | None = column("share of farmland within a mile or two", "%", 0, 100)
    buck_rate: float | None = column(
        "share of the grown bucks that everybody takes in a fall, such as 0.4", "", 0, 0.95
    )
    does_per_buck: float | None = column("does for each buck before the hunt", "", 0.2, 20)
    fawns_per_doe: float | None = column("fawns for each doe before the hunt", "", 0.05, 2.5)
    weapon: Annotated[str, Among(trade.WEAPONS)] = column("what the family hunts with", default="gun")
    weeks_of_deep_snow: float | None = column("weeks with snow over 15 inches last winter", "weeks", 0, 30)
    preference: dict[Species, Annotated[str, Among(trade.BROWSE)]] | None = column(
        f"what deer make of kinds here, where it is not as listed: {', '.join(trade.BROWSE)}"
    )
    full_herd_per_sqmi: float | None = column("deer in fall at which the herd grows no more", "per sq mi", 1, 300)
    camera_ground_ac: float | None = column("ground from which the deer at the cameras come", "ac", 20, 100_000)
    state_per_sqmi: float | None = column("the state's own figure for the unit", "per sq mi", 0, 300)
    state_low_per_sqmi: float | None = column("the low end the state gives for it", "per sq mi", 0, 300)
    state_high_per_sqmi: float | None = column("the high end the state gives for it", "per sq mi", 0, 300)
