"""What each stand should keep: the basal area a thinning leaves, the range it may lie in, and who says so.

residuals    of each stand, by the rule of its cover, the family's own choice and its wishes
Residuals    what it holds
with_own     what a thinning of each cover leaves, the family's own before the rule
leave_now    what an entry leaves today

A forester reads a figure where a source has one. Where it is only judged the family says how dense it wants its woods,
and until it has, a stand between the two ends is not shut: an entry takes half of what stands over the low end.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.covers import lineage, rule_of
from woodlot.estimate import Reason
from woodlot.plan.wish_rules import by_wish
from woodlot.region import Region

__all__ = ["YOURS", "Residuals", "leave_now", "residuals", "with_own"]

#: Mark of a residual that the family wrote.
YOURS = "yours"
#: Marks of residuals that nobody needs to be asked about.
KNOWN = ("read", YOURS)


@dataclass(frozen=True)
class Residuals:
    """Of each stand: low, keep and high [sq ft/ac], seen (mark of keep), way ("thin", "patches", "none"), rule (why
    nothing is cut by it), rule_of (its row of cut_rules.csv), shut (why nothing is cut by a wish, or None).
    """

    low: np.ndarray
    keep: np.ndarray
    high: np.ndarray
    seen: np.ndarray
    way: np.ndarray
    rule: np.ndarray
    rule_of: np.ndarray
    shut: list[Reason | None]

    @property
    def open(self) -> np.ndarray:
        """Stands whose residual is from no source and not the family's: it may lie anywhere in its range."""
        return (self.way == "thin") & ~np.isin(self.seen, KNOWN) & (self.high > self.low)


def residuals(
    stands: pd.DataFrame, basal: np.ndarray, chosen_sqft: Mapping[str, float] | None = None, *, region: Region
) -> Residuals:
    """What stands should keep.

    Parameters
    ----------
    stands
        cover, and the columns of ``wish_rules.by_wish``.
    basal
        Basal area today [sq ft/ac].
    chosen_sqft
        What the family wishes to keep, by cover [sq ft/ac]; it goes before the rule of that cover where it is thinned.
    region
        Region whose tables are used.
    """
    kinds = rule_of(stands["cover"], region)
    region.note("cut_rules", kinds.tolist())
    rule = region.table("cut_rules", rows=()).set_index("cover").reindex(kinds)
    way = rule["way"].to_numpy(dtype=object)
    low, high = (rule[name].fillna(rule["leave_sqft_per_ac"]).to_numpy(dtype=float) for name in LOW_HIGH)
    keep, seen = with_own(stands["cover"], rule, chosen_sqft or {}, region)
    low, high = (np.where(seen == YOURS, keep, one) for one in (low, high))
    wished, marks, ways, shut = by_wish(stands, basal, keep, seen, way, region=region)
    raised = wished > keep
    low, high = (np.where(raised, wished, one) for one in (low, high))
    why = rule["why"].fillna("").to_numpy(dtype=object)
    return Residuals(low, wished, high, marks, ways, why, kinds, shut)


LOW_HIGH = ("leave_low", "leave_high")


def with_own(
    covers: pd.Series, rule: pd.DataFrame, chosen_sqft: Mapping[str, float], region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """What a thinning of each cover leaves [sq ft/ac] and its mark: the family's own before the rule.

    rule: the row of cut_rules.csv of each cover, in their order.
    """
    own = _own(covers, chosen_sqft, region)
    mine = np.isfinite(own) & (rule["way"] == "thin").to_numpy()
    keep = np.where(mine, own, rule["leave_sqft_per_ac"].to_numpy(dtype=float))
    return keep, np.where(mine, YOURS, rule["seen"].to_numpy(dtype=object))


def _own(covers: pd.Series, chosen_sqft: Mapping[str, float], region: Region) -> np.ndarray:
    """What the family wrote for each cover, or for the cover it goes as."""
    each = {
        cover: next((chosen_sqft[one] for one in lineage(cover, region) if one in chosen_sqft), np.nan)
        for cover in dict.fromkeys(covers.astype(str).str.strip().str.lower())
    }
    return covers.astype(str).str.strip().str.lower().map(each).to_numpy(dtype=float)


def leave_now(of: Residuals, basal: np.ndarray) -> np.ndarray:
    """Basal area that an entry leaves [sq ft/ac]: what is to be kept; where that is open, the middle between the low
    end and what stands, never over what is to be kept.
    """
    return np.where(of.open, np.clip(0.5 * (of.low + basal), of.low, of.keep), of.keep)
