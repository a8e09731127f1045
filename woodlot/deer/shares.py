"""The family's share of each fall on record, from what was known by then.

FallShare      one fall: what the herd could give, does and bucks a year of the family's acres, closed or not
by_fall        a fit -> the share of each of its falls
at_fall        a fit as it stood at one of its falls

A family that counted for years wants the bank of those years as it would have stood, had it asked each fall: so a fall
is judged by the counts before its hunt, never by what was learned later.
"""

from dataclasses import dataclass, replace

from woodlot.deer import doe_share
from woodlot.deer.herd_fit import SETS_A_NUMBER, Fit, Ground, mean, middle, weighed
from woodlot.deer.herd_year import bucks as bucks_of
from woodlot.deer.herd_year import does as does_of
from woodlot.deer.herd_year import number
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = ["AFTER_THE_HUNT", "FallShare", "at_fall", "by_fall"]

#: Counts of the winter and spring after a fall: its hunt did not know them yet.
AFTER_THE_HUNT = ("pellets", "complete")


@dataclass(frozen=True)
class FallShare:
    """The family's share of one fall.

    give: does a square mile that the herd can give; taken:
    what is taken of it, by how the herd stands beside its first falls;
    growing: its growth with no doe taken; does_there, bucks_there, around: does and bucks of 1.5 years and up, and does
    that neighbors take, a square mile; doe, buck: deer a year of the family's acres; closed: why no doe is taken
    (of ``doe_share.LOW``), odds: the chance that it is so; measured: whether any count sets a number.
    """

    year: int
    give: float
    taken: float
    growing: float
    does_there: float
    bucks_there: float
    around: float
    doe: float
    buck: float
    closed: str | None
    odds: float
    measured: bool


def by_fall(
    fit: Fit,
    year: int,
    ground: Ground,
    region: Region,
    *,
    thin: bool = False,
    neighbors_does: float | None = None,
    buck_share: float | None = None,
) -> tuple[FallShare, ...]:
    """The share of each fall on record and of the fall ``year`` that is asked for, the last.

    Parameters: thin: in the last fall the wish is fewer deer;
    neighbors_does: does a square mile that they take from the last fall on, where that is new; buck_share: the family's
    own figure.
    """
    out = []
    for at in range(len(fit.cloud.years) + 1):
        now = at == len(fit.cloud.years)
        then = fit if now else at_fall(fit, at)
        fall = year if now else fit.cloud.years[at]
        around = neighbors_does if now else None
        out.append(_share(then, fall, ground, region, thin and now, around, buck_share))
    return tuple(out)


def at_fall(fit: Fit, at: int) -> Fit:
    """The fit as it stood before the hunt of its fall number ``at`` (0 the first), of the same kinds of counts."""
    cloud = fit.cloud
    year, (doe_rate, buck_rate) = cloud.years[at], cloud.rates[at]
    known = [(kind, when) for kind, when in fit.counts if when < year or (when == year and kind not in AFTER_THE_HUNT)]
    before = replace(
        cloud,
        herds=replace(cloud.herds, now=cloud.past[at], doe_rate=doe_rate, buck_rate=buck_rate),
        years=cloud.years[:at],
        past=cloud.past[:at],
        rates=cloud.rates[:at],
        numbers=cloud.numbers[:at],
        does=cloud.does[:at],
        winter_half=cloud.winter_half[:at],
    )
    return weighed(before, known)


def _share(
    fit: Fit,
    year: int,
    ground: Ground,
    region: Region,
    thin: bool,
    neighbors_does: float | None,
    buck_share: float | None,
) -> FallShare:
    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    now, weights = fit.now, fit.weights
    does, growing = does_of(now), doe_share.growing(fit, region, thin=thin)
    give = mean(doe_share.can_give(now, growing, ground.lost), weights)
    taken = doe_share.give(fit, ground.lost, region, thin=thin)
    around = mean(fit.cloud.herds.doe_rate * does, weights) if neighbors_does is None else neighbors_does
    part = figure("buck_share") if buck_share is None else buck_share
    bucks = mean(bucks_of(now), weights)
    measured = any(kind in SETS_A_NUMBER for kind, _ in fit.counts)
    doe = doe_share.share(taken, ground.own_ac, around, region) if measured else 0.0
    closed = doe_share.closed(fit, region)
    return FallShare(
        year=year,
        give=give,
        taken=taken,
        growing=middle(growing, weights),
        does_there=mean(does, weights),
        bucks_there=bucks,
        around=around,
        doe=doe,
        buck=part * bucks * ground.own_ac / AC_PER_SQMI / (1.0 + ground.lost) if measured else 0.0,
        closed=closed,
        odds=_odds(fit, closed, region),
        measured=measured,
    )


def _odds(fit: Fit, closed: str | None, region: Region) -> float:
    """The chance that the herd is as low as the reason for closing says."""
    if closed is None:
        return 0.0
    then = fit.cloud.numbers[-1] if closed == "under last fall" else doe_share.firsts(fit)
    return mean(number(fit.now) < region.figure("defaults_herd", doe_share.LOW[closed]) * then, fit.weights)
