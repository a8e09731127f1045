"""Trees that may be felled, as the choice of what to cut from them needs them: shape, wood, heat, limbs, worth.

Stock      one number a tree, diameters and cubic feet to the inch
stock      of a table of trees
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.units import CUFT_PER_CUYD
from woodlot.wood import worths
from woodlot.wood.account import below_cuft, dry_pounds, limb_share
from woodlot.wood.cutting import Stretches
from woodlot.wood.grades import index, standing_share
from woodlot.wood.need_lines import TOPIC
from woodlot.wood.products import STEPS_TOPIC, firewood_price
from woodlot.wood.stick import Stems, stems, stove_worth, stretches

__all__ = ["Stock", "stock"]


@dataclass(frozen=True)
class Stock:
    """One number a tree unless it says else.

    dib, below: diameters and cubic feet below each place as drawn, places x trees; cut: the stretches pieces are cut
    from; factor: sound cubic feet by the volume equation for one as drawn; heat: million Btu of a sound cubic foot;
    limbs_cuft, brush_cuft: counted wood of limbs for the stove, and of fine limbs and the tip; limb_worth: of a cubic
    foot of limbs, brush_worth: of brush; standing: what it is worth left standing, over its wood.
    """

    trees: pd.DataFrame
    stems: Stems
    dib: np.ndarray
    below: np.ndarray
    cut: Stretches
    factor: np.ndarray
    heat: np.ndarray
    limbs_cuft: np.ndarray
    brush_cuft: np.ndarray
    limb_worth: np.ndarray
    brush_worth: float
    standing: np.ndarray
    worths: worths.Worths

    def draw(self, tree: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Diameters and cubic feet below each place of some trees."""
        most = int(self.stems.last[tree].max(initial=0)) + 1
        return self.dib[:most, tree], self.below[:most, tree]

    def outside_cuft(self) -> np.ndarray:
        """Cubic feet as drawn below the first stretch of each tree, all of the stem where it has none."""
        every = np.arange(len(self.trees))
        first = self.stems.last.copy()
        np.minimum.at(first, self.cut.tree, self.cut.first)
        return self.below[first, every]

    def usable_cuft(self) -> np.ndarray:
        """Cubic feet as drawn of each stem up to where the stove takes it."""
        return self.below[self.stems.last, np.arange(len(self.trees))]


def stock(trees: pd.DataFrame, division: str, log_rule: str, *, region: Region) -> Stock:
    """Stock of a table of trees (result of ``volumes``)."""
    drawn = stems(trees, region=region)
    every = np.arange(len(trees))
    dib, below = drawn.drawn(every)
    above_stump = (trees["wood_cuft"] - trees["stump_cuft"]).to_numpy(dtype=float)
    scale = above_stump / below_cuft(drawn, np.full(len(trees), 10**6))
    lb = dry_pounds(trees, division, region=region)
    sg = np.asarray(region.species.wood_property(trees["species"], "wood_sg"), dtype=float)
    wood = lb["branch_lb"] * (1.0 - lb["bark_part"]) / (sg * region.figure("defaults_tree", "water_lb_per_cuft"))
    share = limb_share(trees["dbh_in"], trees["species"], region.figure(STEPS_TOPIC, "limb_top_in"), region=region)
    tip = above_stump - below[drawn.last, every] * scale if len(trees) else above_stump
    said = worths.judged(trees, region=region)
    stove = stove_worth(trees, said, region=region) * scale
    price = firewood_price(region)
    heat = worths.heat_mmbtu_per_cuft(trees["species"], region=region)
    order = np.lexsort((trees["dbh_in"].to_numpy(dtype=float), pd.factorize(trees["species"])[0]))
    return Stock(
        trees,
        drawn,
        dib,
        below,
        stretches(drawn, order),
        scale * worths.shares_left(trees, said, region=region)[1],
        heat,
        wood * share * region.figure(TOPIC, "limb_part"),
        (wood * (1.0 - share) + tip) * region.figure(TOPIC, "chip_part"),
        heat * index("stove wood", region=region) if price is None else np.full(len(trees), price),
        index("chips", region=region) if price is None else 0.0,
        standing_share(trees, said, region=region),
        worths.worths(trees, stove, log_rule, said, region=region),
    )


def cuyd_per_cuft(*, region: Region) -> float:
    """Cubic yards of chips from a solid cubic foot, compacted."""
    return region.figure(STEPS_TOPIC, "chips_tight") / CUFT_PER_CUYD
