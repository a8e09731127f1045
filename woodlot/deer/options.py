"""What a family knows or wishes about its deer: the part [deer] of place.toml, as the chapter reads it.

DeerSettings   one field a key, its meaning under it; a key nobody wrote is None, and the region's figure stands for it
NeighborTake   one [[deer.neighbors]]: what neighbors or the unit take from a fall on
"""

from typing import Annotated

from pydantic import ConfigDict

from woodlot import trade
from woodlot.column_kinds import Among, Day, Row, Species, YesNo, column

__all__ = ["DeerSettings", "NeighborTake"]


class NeighborTake(Row):
    """A change in what neighbors, or hunters of the unit, take: a new season, doe permits, a lease that ended."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    from_fall: int = column(None, "yr", 1900, 2200, must=True)
    """fall from which they take so many"""
    does_per_sqmi: float = column(None, "per sq mi", 0, 30, must=True)
    """does, fawns among them"""
    bucks_per_sqmi: float = column(None, "per sq mi", 0, 30, must=True)
    """bucks"""


class DeerSettings(Row):
    """What the family knows or wishes about the deer."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    goal: Annotated[str, Among(trade.GOALS)] = column(default="hold")
    """hold the herd, let it grow, or bring it down for the trees"""
    neighbors_join: YesNo = column(default=False)
    """true if the neighbors bring the herd down with you"""
    leaf_off: Day | None = column()
    """day the leaves were down, as 2025-10-25"""
    groups_per_deer_per_day: float | None = column(None, "", 5, 60)
    """pellet groups a deer drops in a day"""
    neighbor_bucks_per_sqmi: float | None = column(None, "per sq mi", 0, 30)
    """bucks that neighbors, or hunters of the unit, take and have taken for years"""
    neighbor_does_per_sqmi: float | None = column(None, "per sq mi", 0, 30)
    """does that they take and have taken for years"""
    neighbors: list[NeighborTake] | None = column()
    """what they take from a fall on, where a new season or permit changed it: a part [[deer.neighbors]] for each"""
    antler_rule_since: int | None = column(None, "yr", 1900, 2200)
    """fall since which a rule on antlers spares young bucks: ages of bucks killed since then tell nothing"""
    feeder_since: int | None = column(None, "yr", 1900, 2200)
    """fall since which deer are fed in winter near your plots: pellets since then are of deer that gathered"""
    home_range_ac: float | None = column(None, "ac", 20, 20_000)
    """ground a deer lives on"""
    farmland_pct: float | None = column(None, "%", 0, 100)
    """share of farmland within a mile or two"""
    buck_rate: float | None = column(None, "", 0, 0.95)
    """share of the grown bucks that everybody takes in a fall, such as 0.4"""
    does_per_buck: float | None = column(None, "", 0.2, 20)
    """does for each buck before the hunt"""
    fawns_per_doe: float | None = column(None, "", 0.05, 2.5)
    """fawns for each doe before the hunt"""
    weapon: Annotated[str, Among(trade.WEAPONS)] = column(default="gun")
    """what the family hunts with"""
    weeks_of_deep_snow: float | None = column(None, "weeks", 0, 30)
    """weeks with snow over 15 inches last winter"""
    preference: dict[Species, Annotated[str, Among(trade.BROWSE)]] | None = column()
    """what deer make of kinds here, where it is not as listed: preferred, second, third, starvation, avoided"""
    full_herd_per_sqmi: float | None = column(None, "per sq mi", 1, 300)
    """deer in fall at which the herd grows no more"""
    camera_ground_ac: float | None = column(None, "ac", 20, 100_000)
    """ground from which the deer at the cameras come"""
    state_per_sqmi: float | None = column(None, "per sq mi", 0, 300)
    """the state's own figure for the unit, in fall"""
    state_year: int | None = column(None, "yr", 1900, 2200)
    """fall of which the state's figure is; left out: the fall that is planned"""
    state_low_per_sqmi: float | None = column(None, "per sq mi", 0, 300)
    """the low end the state gives for it"""
    state_high_per_sqmi: float | None = column(None, "per sq mi", 0, 300)
    """the high end the state gives for it"""

    @property
    def takes(self) -> dict[int, tuple[float, float]]:
        """Fall -> (does, bucks) a square mile that neighbors or the unit take from it on."""
        return {one.from_fall: (one.does_per_sqmi, one.bucks_per_sqmi) for one in self.neighbors or ()}
