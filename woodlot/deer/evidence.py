"""All the family knows of its deer, side by side: what each count measures, on which ground, and how they agree.

evidence        pellets, cameras, sightings, the state's figure -> rows in words, and what they say together

Pellets speak of deer-equivalents; cameras of deer that walk past them. The ground those come from is a guess, so
cameras are brought to a square mile only when the family names it, and are shown beside, never weighed in. Sightings
and tracks are a trend.
"""

import pandas as pd

from woodlot.deer.answer import Counted, Evidence, Ratios, Together
from woodlot.deer.counts import cameras, ratios, trend
from woodlot.deer.options import DeerSettings
from woodlot.deer.pool import pool, state_figure
from woodlot.errors import NoAnswer
from woodlot.estimate import LEVEL, Estimate, scale
from woodlot.region import Region
from woodlot.say.reasons import plain, said
from woodlot.say.words import range_words
from woodlot.trade import SEEN_DEER
from woodlot.units import AC_PER_SQMI

__all__ = ["evidence"]

UNIT = "deer a square mile"
NOTHING = "There is no count with a range of its own to hold others against."


def evidence(
    winter: Estimate,
    fall: Estimate,
    counts: pd.DataFrame | None,
    options: DeerSettings,
    region: Region,
    level: float = LEVEL,
) -> Evidence:
    """Every count in a row, and what they say together.

    winter, fall: the pellet count and its run to fall; counts: the family's counts; options: the state's figure and the
    ground the cameras' deer come from, if the family will name it.
    """
    rows = [_row("pellet groups", "the use of these acres over the winter half", winter, said(winter.why))]
    beside: list[Estimate] = []
    try:
        seen = cameras(counts, options.camera_ground_ac, region=region) if counts is not None and len(counts) else None
        if seen is not None:
            measures = "deer that walk past them, from a ground nobody measured"
            rows.append(_row("cameras", measures, seen, said(seen.why)))
            ground = options.camera_ground_ac
            if ground:
                beside.append(
                    scale(seen, AC_PER_SQMI / float(ground), UNIT, method="cameras, brought to a square mile")
                )
    except NoAnswer as why:
        rows.append(_row("cameras", "deer that walk there", Estimate(None, "deer", why=str(why)), str(why)))
    for method, what in (("sighting", "deer seen an hour"), ("tracks", "tracks crossed")):
        if counts is not None and len(counts) and counts["method"].eq(method).any():
            e = trend(counts, method, level)
            rows.append(_row(what, "a trend only, never a number of deer", e, _trend_words(e)))
    if options.state_per_sqmi is not None:
        e = state_figure(options.state_per_sqmi, options.state_low_per_sqmi, options.state_high_per_sqmi)
        rows.append(_row("the state's figure", "a mean over the whole unit", e, said(e.why)))
        beside.append(e)
    return Evidence(tuple(rows), _together(fall, beside, level, region=region), _ratios(counts))


def _row(what: str, measures: str, e: Estimate, words: str) -> Counted:
    return Counted(what, measures, plain(e), e.method, words)


def _trend_words(e: Estimate) -> str:
    if e.value is None or e.low is None or e.high is None:
        return said(e.why)
    way = "rise" if e.value > 0 else "fall"
    sure = "" if e.low > 0 or e.high < 0 else "probably "
    return f"They {sure}{way} by {abs(e.value):.0f}% a year ({e.low:.0f} to {e.high:.0f}%, {100 * e.level:.0f}%)."


def _ratios(counts: pd.DataFrame | None) -> Ratios:
    if counts is None or len(counts) == 0:
        return Ratios(None, None)
    rows = counts[counts["method"].isin(SEEN_DEER)]
    return ratios(rows)


def _together(fall: Estimate, beside: list[Estimate], level: float, *, region: Region) -> Together:
    """The pellet count run to fall, beside counts that carry no odds: do their ranges meet?"""
    if fall.kind != "interval" or fall.value is None or fall.low is None or fall.high is None:
        return Together(None, None, NOTHING)
    pooled = pool([fall, *(e for e in beside if e.level == level)], region=region)
    others = [e for e in beside if e.value]
    if not others:
        return Together(None, 1.0, pooled.words)
    values = [fall.value, *(float(e.value or 0.0) for e in others)]
    spread = max(values) / min(values)
    low, high = fall.low, fall.high
    apart = [e for e in others if _high(e) < low or _low(e) > high]
    each = "; ".join(f"{e.method} {e.value:.0f} ({range_words(plain(e))})" for e in others)
    if apart:
        words = (
            f"Counts disagree {spread:.1f} times: pellets run to fall {fall.value:.0f} ({range_words(plain(fall))}), "
            f"{each}. That is the finding; they are not averaged, and the take stays on the pellets' low end."
        )
    else:
        words = f"Other counts lie within reach of the pellets: {each}. They carry no odds and are not weighed in."
    return Together(not apart, spread, words)


def _low(e: Estimate) -> float:
    return float(e.value or 0.0) if e.low is None else e.low


def _high(e: Estimate) -> float:
    return float(e.value or 0.0) if e.high is None else e.high
