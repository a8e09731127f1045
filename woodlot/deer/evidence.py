"""All the family knows of its deer, side by side: what each count measures, what it does to the number, how they agree.

evidence        every count with the number by it alone and without it, and what they say together
state_figure    the state's own figure for the unit, as it is printed

Pellets speak of deer-equivalents; cameras of deer that walk past them. The ground those come from is a guess, so
cameras tell ratios and never how many there are; they are brought to a square mile only when the family names it, and
are shown beside. Where counts disagree no mean is made of them.
"""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from woodlot.deer.answer import Counted, Evidence, Ratios, Together, Words
from woodlot.deer.counts import cameras, ratios, trend
from woodlot.deer.herd_answer import HerdAnswer, Pull
from woodlot.deer.options import DeerSettings
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, Reason, reason, scale
from woodlot.region import Region
from woodlot.trade import SEEN_DEER, RangeKind
from woodlot.units import AC_PER_SQMI

__all__ = ["evidence", "state_figure"]

UNIT = "deer a square mile"
#: What a kind of count is called in a row.
ROWS = {
    "pellets": "pellet groups",
    "complete": "complete counts",
    "kill": "neighbors' kill",
    "state": "the state's figure",
    "fawns": "fawns and does seen",
    "cameras": "bucks at cameras",
    "ages": "ages of bucks killed",
    "milk": "does with milk",
    "an hour": "deer seen an hour",
}


def evidence(
    herd: HerdAnswer,
    counts: pd.DataFrame | None,
    options: DeerSettings,
    region: Region,
    level: float = LEVEL,
    killed: Sequence[Reason] = (),
) -> Evidence[Estimate, Words]:
    """Every count in a row, and what they say together.

    counts: the family's counts; options: the state's figure and the ground the cameras' deer come from, if the family
    will name it; killed: what weights and beams of the kill say (`condition`).
    """
    pulls = {pull.source.kind: pull for pull in herd.pulls if not pull.source.part}
    rows = [_pulled(pull) for pull in herd.pulls if pull.source.kind not in ("state", "an hour")]
    rows += herd.record.rate.counts
    counted = counts if counts is not None and len(counts) else pd.DataFrame({"method": []})
    if len(counted):
        rows.append(_cameras(counted, options, region))
    for method, what in (("sighting", "deer seen an hour"), ("tracks", "tracks crossed")):
        if counted["method"].eq(method).any():
            e = trend(counted, method, level)
            how: Words = method if e.value is None else reason("seen an hour", of=method)
            row: Counted[Estimate, Words] = Counted(
                what, reason("measures", of=method), e, how, reason("trend", change=e)
            )
            rows.append(_with(row, pulls.get("an hour") if method == "sighting" else None))
    if options.state_per_sqmi is not None:
        e = state_figure(options.state_per_sqmi, options.state_low_per_sqmi, options.state_high_per_sqmi)
        row = Counted(ROWS["state"], reason("measures", of="state"), e, reason("state's figure"), e.why or "")
        rows.append(_with(row, pulls.get("state")))
    grew = reason("measures", of="condition")
    rows += [Counted(f"{one.key} of deer killed", grew, Estimate(None, "deer"), "", one) for one in killed]
    seen = counted[counted["method"].isin(SEEN_DEER)]
    return Evidence(tuple(rows), _together(herd), ratios(seen) if len(counted) else Ratios(None, None))


def _pulled(pull: Pull) -> Counted[Estimate, Words]:
    """A source with what it does to the number."""
    kind = pull.source.kind
    row: Counted[Estimate, Words] = Counted(ROWS[kind], reason("measures", of=kind), pull.alone, pull.source.words, "")
    return _with(row, pull)


def _with(row: Counted[Estimate, Words], pull: Pull | None) -> Counted[Estimate, Words]:
    if pull is None:
        return row
    words = reason("pull", alone=pull.alone, without=pull.without, used=pull.used)
    return replace(row, words=words, alone=pull.alone, without=pull.without)


def _cameras(counted: pd.DataFrame, options: DeerSettings, region: Region) -> Counted[Estimate, Words]:
    e = cameras(counted, options.camera_ground_ac, region=region)
    measures = reason("measures", of="walk past" if e.value is not None else "no cameras")
    words: Words = e.why or ""
    if e.value is not None and options.camera_ground_ac:
        words = reason("cameras a square mile", deer=scale(e, AC_PER_SQMI / options.camera_ground_ac, UNIT))
    return Counted("cameras", measures, e, e.method, words)


def state_figure(per_sqmi: float, low: float | None = None, high: float | None = None) -> Estimate:
    """The state's own figure for the unit; its range, if printed, is the state's."""
    if per_sqmi < 0 or (low is not None and high is not None and not low <= per_sqmi <= high):
        raise InputError("the state's figure must be zero or more and lie within its own limits")
    kind: RangeKind = "none" if low is None or high is None else "assumptions"
    return Estimate(per_sqmi, UNIT, low, high, kind=kind, why=reason("mean of a unit"))


def _together(herd: HerdAnswer) -> Together[Words]:
    """Whether the counts that set a number fit together, and how many times the largest by itself is the smallest."""
    if not herd.measured:
        return Together(None, None, reason("no ranged count"))
    if herd.sides:
        return Together(False, herd.spread, reason("counts disagree", year=herd.season, sides=herd.said_sides))
    each = [(pull.source.words, pull.alone) for pull in herd.pulls if pull.used and pull.source.sets]
    if len(each) < 2:
        return Together(None, 1.0, reason("one count only"))
    values = [float(e.value or 0.0) for _, e in each]
    return Together(True, max(values) / min(values), reason("counts agree", each=tuple(each)))
