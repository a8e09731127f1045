"""What a family chose for its deer, with the region's figures where it chose nothing.

Choices, choices    the part [deer] of place.toml and the tags, filled in
"""

from collections.abc import Mapping
from dataclasses import dataclass

from woodlot.deer.defaults import default
from woodlot.deer.options import DeerSettings
from woodlot.region import Region

__all__ = ["Choices", "choices"]


@dataclass(frozen=True)
class Choices:
    """The family's choices with the region's defaults filled in; around: (bucks, does) a square mile neighbors take."""

    given: DeerSettings
    farmland_pct: float
    buck_rate: float
    lost: float
    around: tuple[float, float]
    around_known: bool
    tags: tuple[float | None, float | None]
    meat_lb: float | None


def choices(options: DeerSettings, limits: Mapping, meat_lb: float | None, region: Region) -> Choices:
    """The family's choices, the region's figures where it made none."""
    wound = default(f"wound_{options.weapon}", region)
    bucks, does = options.neighbor_bucks_per_sqmi, options.neighbor_does_per_sqmi
    around = float(default("neighbor_bucks", region) if bucks is None else bucks)
    return Choices(
        given=options,
        farmland_pct=float(options.farmland_pct or 0.0),
        buck_rate=float(default("buck_rate", region) if options.buck_rate is None else options.buck_rate),
        lost=wound + default("other_unregistered", region),
        around=(around, float(around * default("neighbor_does_per_buck", region) if does is None else does)),
        around_known=bucks is not None and does is not None,
        tags=(limits.get("tags_doe"), limits.get("tags_buck")),
        meat_lb=meat_lb,
    )
