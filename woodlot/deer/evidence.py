"""All the family knows of its deer, side by side: what each count measures, on which ground, and how they agree.

evidence        pellets, cameras, sightings, the state's figure, and what they say together
state_figure    the state's own figure for the unit, as a count beside the family's

Pellets speak of deer-equivalents; cameras of deer that walk past them. The ground those come from is a guess, so
cameras are brought to a square mile only when the family names it, and are shown beside, never weighed in. Sightings
and tracks are a trend. A range of assumptions has no odds, so no mean of counts is made.
"""

import pandas as pd

from woodlot.deer.answer import Counted, Evidence, Ratios, Together, Words
from woodlot.deer.complete import Rate
from woodlot.deer.counts import cameras, ratios, trend
from woodlot.deer.options import DeerSettings
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, reason, scale
from woodlot.region import Region
from woodlot.trade import SEEN_DEER, RangeKind
from woodlot.units import AC_PER_SQMI

__all__ = ["evidence", "state_figure"]

UNIT = "deer a square mile"


def evidence(
    winter: Estimate,
    fall: Estimate,
    counts: pd.DataFrame | None,
    options: DeerSettings,
    region: Region,
    level: float = LEVEL,
    rate: Rate | None = None,
) -> Evidence[Estimate, Words]:
    """Every count in a row, and what they say together.

    winter, fall: the pellet count and its run to fall; counts: the family's counts; options: the state's figure and the
    ground the cameras' deer come from, if the family will name it; rate: of the pellets, with complete counts.
    """
    rows = [Counted("pellet groups", reason("measures", of="pellets"), winter, winter.method, winter.why or "")]
    rows += rate.counts if rate is not None else ()
    beside: dict[str, Estimate] = {}
    counted = counts if counts is not None and len(counts) else pd.DataFrame({"method": []})
    if len(counted):
        e = cameras(counted, options.camera_ground_ac, region=region)
        measures = reason("measures", of="cameras" if e.value is not None else "no cameras")
        rows.append(Counted("cameras", measures, e, e.method, e.why or ""))
        if e.value is not None and options.camera_ground_ac:
            beside["cameras"] = scale(e, AC_PER_SQMI / options.camera_ground_ac, UNIT)
    for method, what in (("sighting", "deer seen an hour"), ("tracks", "tracks crossed")):
        if counted["method"].eq(method).any():
            e = trend(counted, method, level)
            how = method if e.value is None else reason("seen an hour", of=method)
            rows.append(Counted(what, reason("measures", of=method), e, how, reason("trend", change=e)))
    if options.state_per_sqmi is not None:
        e = state_figure(options.state_per_sqmi, options.state_low_per_sqmi, options.state_high_per_sqmi)
        measures = reason("measures", of="state")
        rows.append(Counted("the state's figure", measures, e, reason("state's figure"), e.why or ""))
        beside["state"] = e
    seen = counted[counted["method"].isin(SEEN_DEER)]
    return Evidence(tuple(rows), _together(fall, beside), ratios(seen) if len(counted) else Ratios(None, None))


def state_figure(per_sqmi: float, low: float | None = None, high: float | None = None) -> Estimate:
    """The state's own figure for the unit; its range, if printed, is the state's."""
    if per_sqmi < 0 or (low is not None and high is not None and not low <= per_sqmi <= high):
        raise InputError("the state's figure must be zero or more and lie within its own limits")
    kind: RangeKind = "none" if low is None or high is None else "assumptions"
    return Estimate(per_sqmi, UNIT, low, high, kind=kind, why=reason("mean of a unit"))


def _together(fall: Estimate, beside: dict[str, Estimate]) -> Together[Words]:
    """The pellet count run to fall, beside counts that carry no odds: do their ranges meet?"""
    if fall.kind != "interval" or fall.value is None or fall.low is None or fall.high is None:
        return Together(None, None, reason("no ranged count"))
    others = {name: e for name, e in beside.items() if e.value}
    if not others:
        return Together(None, 1.0, reason("one count only"))
    values = [fall.value, *(float(e.value or 0.0) for e in others.values())]
    spread = max(values) / min(values)
    each = tuple(others.items())
    if any(_high(e) < fall.low or _low(e) > fall.high for e in others.values()):
        return Together(False, spread, reason("counts disagree", spread=spread, fall=fall, others=each))
    return Together(True, spread, reason("counts agree", others=each))


def _low(e: Estimate) -> float:
    return float(e.value or 0.0) if e.low is None else e.low


def _high(e: Estimate) -> float:
    return float(e.value or 0.0) if e.high is None else e.high
