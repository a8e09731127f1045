"""Complete counts of deer, by drive or snow walk, and what they teach of the groups a deer drops in a day.

A hunter wants to know how many deer his pellets mean: the rate is the largest error of the herd, the same every spring,
and no plot mends it. Only a count of every deer on the same ground in the same winter tells it; deer that walk past a
camera or a stand do not, since nobody knows from how far they come.

Rate, taught_rate   the rate with its error, and each complete count with what it taught
counted_whole       complete counts of the family's ground by fall, as the herd is fitted to them
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import log, sqrt

import pandas as pd

from woodlot.deer.answer import Counted, Words
from woodlot.deer.bag import fall_of
from woodlot.deer.defaults import default
from woodlot.deer.sign import UNIT
from woodlot.estimate import Estimate, Reason, reason
from woodlot.news import Known, learn, log_var
from woodlot.region import Region
from woodlot.trade import COMPLETE
from woodlot.units import AC_PER_SQMI

__all__ = ["Rate", "counted_whole", "taught_rate"]

#: Months of a winter in which a complete count speaks of the deer whose pellets lie in spring.
WINTER = (10, 11, 12, 1, 2, 3, 4, 5)


@dataclass(frozen=True)
class Rate:
    """Groups a deer drops in a day, its relative error, and the complete counts with what each of them taught."""

    groups_per_deer_per_day: float
    cv: float
    counts: tuple[Counted[Estimate, Words], ...] = ()

    @property
    def learned(self) -> bool:
        """Whether any count taught it."""
        return any(isinstance(one.words, Reason) and one.words.key == "complete count" for one in self.counts)


def taught_rate(
    counts: pd.DataFrame | None,
    springs: Mapping[int, Estimate],
    rate: float,
    acres: float | None,
    *,
    region: Region,
) -> Rate:
    """The rate after all complete counts, the earliest first.

    counts: rows with date, method, bucks, does, fawns, unknown, acres, complete. springs: year -> pellet count of that
    spring by ``rate`` [groups/deer/day]. acres: ground that the pellets speak for [ac].

    Notes: r = ln(counted/by pellets); prior error .45, news that of the count (.20) and of the plots; the rate moves by
    exp(-K r). Example: 14 for 18 deer a square mile, plots .15: K .75, 25 becomes 30.185, error .2172.
    """
    known = Known(log_var(default("pellet_rate_cv", region)))
    out: list[Counted[Estimate, Words]] = []
    if counts is None or not counts["method"].isin(COMPLETE).any():
        return Rate(rate, known.cv)
    whole = counts[counts["method"].isin(COMPLETE)].sort_values("date", kind="stable")
    whole = whole.assign(deer=whole[["bucks", "does", "fawns", "unknown"]].astype(float).fillna(0.0).sum(axis=1))
    for row in whole.to_dict("records"):
        pellets, why = _beside(row, springs, acres, region)
        per = float(row["deer"]) / float(row["acres"]) * AC_PER_SQMI if row["acres"] > 0 else None
        estimate = Estimate(per, UNIT, ground_ac=None if per is None else float(row["acres"]))
        if pellets is not None and per:
            ratio = log(per / float(pellets.value or 1.0))
            var = log_var(region.figure("defaults_sampling", "drive_cv"))
            var += log_var(float(pellets.se or 0.0) / float(pellets.value or 1.0))
            facts = {"counted": per, "pellets": float(pellets.value or 0.0) * known.times}
            if known.believes(ratio, var):
                after = learn(known, ratio, var)
                facts |= {
                    "rate": rate / after.times,
                    "before": rate / known.times,
                    "cv": after.cv,
                    "cv_before": known.cv,
                }
                known, why = after, reason("complete count", **facts)
            else:
                why = reason("complete far off", **facts)
        out.append(
            Counted(str(row["method"]), reason("measures", of="complete"), estimate, str(row["method"]), why or "")
        )
    return Rate(rate / known.times, known.cv, tuple(out))


def counted_whole(
    counts: pd.DataFrame | None, acres: float | None, *, region: Region
) -> dict[int, tuple[float, float]]:
    """Deer a square mile and its log SD by fall: the complete counts of the winter half on the family's ground.

    Several of one winter are one count of their mean. One that found no deer tells no number here.
    """
    by: dict[int, list[float]] = {}
    if counts is None or not len(counts):
        return {}
    for row in counts[counts["method"].isin(COMPLETE)].to_dict("records"):
        deer = sum(float(row[kind]) for kind in ("bucks", "does", "fawns", "unknown") if row[kind] == row[kind])
        if deer > 0 and _not_whole(row, acres, region) is None:
            by.setdefault(int(fall_of(pd.Timestamp(row["date"]))), []).append(deer / float(row["acres"]) * AC_PER_SQMI)
    log_sd = sqrt(log_var(region.figure("defaults_sampling", "drive_cv")))
    return {fall: (sum(some) / len(some), log_sd / sqrt(len(some))) for fall, some in by.items()}


def _not_whole(row: Mapping, acres: float | None, region: Region) -> Reason | None:
    """Why a count is none of all deer on the family's ground in a winter half."""
    if not row["complete"]:
        return reason("complete not", of="complete")
    if not row["acres"] > 0 or pd.isna(row["date"]):
        return reason("complete not", of="acres")
    share = region.figure("defaults_sampling", "same_ground_share")
    if acres and not share <= float(row["acres"]) / acres <= 1.0 / share:
        return reason("complete not", of="ground")
    return None if pd.Timestamp(row["date"]).month in WINTER else reason("complete not", of="winter")


def _beside(
    row: Mapping, springs: Mapping[int, Estimate], acres: float | None, region: Region
) -> tuple[Estimate | None, Reason | None]:
    """The pellet count of the same ground and winter, or why there is none."""
    why = _not_whole(row, acres, region)
    if why is not None:
        return None, why
    day = pd.Timestamp(row["date"])
    pellets = springs.get(int(fall_of(day)) + 1)
    if pellets is None or pellets.kind != "interval" or not pellets.value:
        return None, reason("complete not", of="winter")
    return pellets, None if row["deer"] > 0 else reason("complete not", of="none")
