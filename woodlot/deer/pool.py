"""Several counts of the same deer -> one range, or the finding that they disagree.

Pooled, pool        counts that agree are pooled on the log scale; counts that disagree beyond chance are shown as an
                    envelope, and their spread is the finding
state_figure        the state's own figure for the unit, as a count beside the family's

Only counts of one unit on one kind of ground are put together. A range of assumptions has no odds: it is shown beside,
never weighed in.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import exp, log, sqrt

from woodlot.deer.defaults import default
from woodlot.errors import InputError, NoAnswer
from woodlot.estimate import Estimate, t_quantile
from woodlot.region import Region
from woodlot.say.reasons import plain, said
from woodlot.say.words import range_words
from woodlot.trade import RangeKind

__all__ = ["Pooled", "pool", "state_figure"]


@dataclass(frozen=True)
class Pooled:
    """estimate of the pool or envelope; agree (None: one count only); spread: highest over lowest; words; the parts."""

    estimate: Estimate
    agree: bool | None
    spread: float
    words: str
    pooled: list[Estimate] = field(default_factory=list)
    beside: list[Estimate] = field(default_factory=list)


def pool(counts: Sequence[Estimate], region: Region) -> Pooled:
    """Put counts of the same deer together.

    counts: Estimates of one unit; those of kind "interval" are compared, others are kept beside. Raises InputError for
    mixed units or levels, NoAnswer when no count has a range.

    Notes: each count's log and its standard deviation from its range; if the weighted sum of squares about the mean
    passes the chi-square limit (1 in 20), no pool. A relative error that all parts carry under one name (the same daily
    rate) is set apart first and put back whole, so that it is not averaged away.
    """
    if len({e.unit for e in counts}) > 1 or len({e.level for e in counts}) > 1:
        raise InputError("counts of different units or levels are not put together; convert them first")
    ranged = [e for e in counts if e.kind == "interval" and e.low and e.high and e.value]
    beside = [e for e in counts if e not in ranged]
    if not ranged:
        raise NoAnswer("no count has a range of its own; " + "; ".join(said(e.why) for e in counts if e.why))
    values = [float(e.value or 0.0) for e in ranged]
    spread = max(values) / min(values)
    if len(ranged) == 1:
        e = ranged[0]
        return Pooled(e, None, 1.0, f"One count only: {e.method}.", ranged, beside)
    common = _common(ranged)
    own = [_own_sd(e, common) for e in ranged]
    mean, chance = _weighted([log(v) for v in values], own)
    from scipy.special import chdtrc

    agree = bool(chdtrc(len(ranged) - 1, chance) >= default("disagree_odds", region))
    if not agree:
        e = replace(
            ranged[0],
            value=sqrt(max(values) * min(values)),
            low=min(float(e.low or 0.0) for e in ranged),
            high=max(float(e.high or 0.0) for e in ranged),
            kind="assumptions",
            se=None,
            shared=(),
            n=len(ranged),
            method="envelope of " + ", ".join(e.method for e in ranged),
            why=f"the counts disagree {spread:.1f} times, more than chance would",
        )
        words = (
            f"The counts disagree {spread:.1f} times: {_each(ranged)}. That is the finding; no mean of them is given."
        )
        return Pooled(e, False, spread, words, ranged, beside)
    sd = sqrt(1.0 / sum(1.0 / s**2 for s in own) + log(1.0 + common**2))
    half = t_quantile(ranged[0].level, float("inf")) * sd
    e = replace(
        ranged[0],
        value=exp(mean),
        low=exp(mean - half),
        high=exp(mean + half),
        se=exp(mean) * sqrt(exp(sd**2) - 1.0),
        df=float("inf"),
        shared=(),
        n=len(ranged),
        method="pool of " + ", ".join(e.method for e in ranged),
        why="counts that agree, weighed on the log scale",
    )
    return Pooled(e, True, spread, f"The counts agree ({_each(ranged)}) and are pooled.", ranged, beside)


def _own_sd(e: Estimate, common: float) -> float:
    """Standard deviation of the log of a count, as its range says, less the error that all parts share."""
    half = log(float(e.high or 1.0) / float(e.low or 1.0)) / 2.0
    return sqrt(max((half / t_quantile(e.level, float("inf"))) ** 2 - log(1.0 + common**2), 1e-6))


def _common(parts: Sequence[Estimate]) -> float:
    """Relative error that every part carries under the same name: it does not shrink in the mean."""
    each = [dict(e.shared) for e in parts]
    names = set.intersection(*map(set, each))
    return sqrt(sum(min(errors[n] for errors in each) ** 2 for n in names))


def _weighted(logs: list[float], sds: list[float]) -> tuple[float, float]:
    weights = [1.0 / s**2 for s in sds]
    mean = sum(w * x for w, x in zip(weights, logs, strict=True)) / sum(weights)
    return mean, sum(w * (x - mean) ** 2 for w, x in zip(weights, logs, strict=True))


def _each(parts: Sequence[Estimate]) -> str:
    return "; ".join(f"{e.method} {e.value:.0f} ({range_words(plain(e))})" for e in parts)


def state_figure(per_sqmi: float, low: float | None = None, high: float | None = None) -> Estimate:
    """The state's own figure for the unit: shown beside the family's counts; its range, if printed, is the state's."""
    if per_sqmi < 0 or (low is not None and high is not None and not low <= per_sqmi <= high):
        raise InputError("the state's figure must be zero or more and lie within its own limits")
    kind: RangeKind = "none" if low is None or high is None else "assumptions"
    return Estimate(
        per_sqmi, "deer a square mile", low, high, kind=kind, method="the state's figure for the unit",
        why="a mean over the whole unit, hundreds of square miles",
    )  # fmt: skip
