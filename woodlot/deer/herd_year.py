"""One year of a herd, in thousands of draws at once.

Rates            births, survival and crowding of every draw
Winter, winter   what a winter leaves alive and what is born after it, beside the usual winter
crowding         share of births that each deer without antlers costs
hunted           a herd after the hunts of neighbors and family
next_fall        the herd of the next fall
number, does, bucks    of a herd

A biologist wants next fall's herd from this one's: who is shot, who lives through the winter, what is born, and how
many fawns reach fall. The five rows of a herd are fawns of each sex, does of 1.5 and of 2.5 years and up, bucks alike.
Deer are told a square mile of the ground that the herd uses.
"""

from dataclasses import dataclass, fields

import numpy as np

from woodlot.deer.defaults import default
from woodlot.deer.winter import birth_share, losses_by_age, points_of_loss
from woodlot.deer.winter import herd_loss as winter_loss
from woodlot.region import Region

__all__ = [
    "Rates",
    "Winter",
    "bucks",
    "crowding",
    "does",
    "hunted",
    "next_fall",
    "number",
    "replacement",
    "winter",
]


@dataclass(frozen=True)
class Rates:
    """Arrays of draws: shares, and fetuses a doe; crowding [share of births a deer a square mile]."""

    fawn_to_fall: np.ndarray
    births_fawn: np.ndarray
    births_yearling: np.ndarray
    births_adult: np.ndarray
    survive_fawn: np.ndarray
    survive_yearling_doe: np.ndarray
    survive_doe: np.ndarray
    survive_buck: np.ndarray
    crowding: np.ndarray

    def of(self, which: np.ndarray) -> "Rates":
        """The same of some of the draws (a mask or places)."""
        return Rates(*(getattr(self, field.name)[which] for field in fields(self)))


@dataclass(frozen=True)
class Winter:
    """Shares of fawns and grown deer that live and of births, beside the usual winter; losses: of fawns and grown deer.

    Numbers, or arrays of one winter a draw.
    """

    fawns: float | np.ndarray
    grown: float | np.ndarray
    births: float | np.ndarray
    losses: tuple[float | np.ndarray, float | np.ndarray]


def winter(herd_loss, region: Region) -> Winter:
    """A winter that takes this share of a herd (number or array), as `Winter`.

    Notes: fawns min(.75, 2 m), grown .46 m; births by Wisconsin's points of such a loss. The usual winter is the one of
    the rates (67 points): (1 - loss) / (1 - usual loss), births / usual births.
    """
    usual = float(default("winter_points_mean", region))
    fawn, grown = losses_by_age(herd_loss, region)
    usual_fawn, usual_grown = losses_by_age(winter_loss(usual, "wisconsin", region), region)
    return Winter(
        (1.0 - fawn) / (1.0 - usual_fawn),
        (1.0 - grown) / (1.0 - usual_grown),
        birth_share(points_of_loss(herd_loss, region), region) / birth_share(usual, region),
        (fawn, grown),
    )


def replacement(rates: Rates) -> np.ndarray:
    """Doe fawns that a doe fawn leaves in fall over her life without a hunt; above 1 the herd grows."""
    young = rates.survive_fawn * rates.survive_yearling_doe
    old = young * rates.survive_doe / np.maximum(1.0 - rates.survive_doe, 1e-6)
    born = rates.births_fawn * rates.survive_fawn + rates.births_yearling * young + rates.births_adult * old
    return rates.fawn_to_fall / 2.0 * born


def crowding(rates: Rates, full_herd_per_sqmi) -> np.ndarray:
    """Share of births that each deer without antlers a square mile costs; at a full herd births make up for deaths.

    Notes: (1 - 1/R) / K, R the replacement without crowding; forest middles: 1.69902, K 45, .0091428.
    """
    return np.maximum(0.0, 1.0 - 1.0 / np.maximum(replacement(rates), 1e-9)) / full_herd_per_sqmi


def number(herd: np.ndarray) -> np.ndarray:
    """All deer a square mile: 2F + Y + A + B1 + B2."""
    return 2.0 * herd[0] + herd[1] + herd[2] + herd[3] + herd[4]


def does(herd: np.ndarray) -> np.ndarray:
    """Does of 1.5 years and up a square mile."""
    return herd[1] + herd[2]


def bucks(herd: np.ndarray) -> np.ndarray:
    """Bucks of 1.5 years and up a square mile."""
    return herd[3] + herd[4]


def hunted(
    herd: np.ndarray,
    rate_does,
    rate_bucks,
    family: tuple[float | np.ndarray, float | np.ndarray],
    lost: float,
    region: Region,
    neighbors_share: float = 1.0,
) -> np.ndarray:
    """The herd after the hunts.

    Parameters: herd (5, n) before the hunt; rate_does, rate_bucks: share of does and bucks that neighbors take from
    their part of the ground (neighbors_share of it), of fawns half the does' rate; family: (does, bucks) a square mile
    of all the ground; lost: unrecovered deaths for each deer recovered. No class falls below none.

    Notes: the family's deer come from yearling and grown ones as they stand; a fawn shot counts as a doe.
    """
    extra = (1.0 + lost) * neighbors_share
    left = np.empty_like(herd)
    u, v = np.asarray(rate_does) * extra, np.asarray(rate_bucks) * extra
    left[0] = herd[0] * np.maximum(0.0, 1.0 - region.figure("defaults_herd", "fawn_hunt_share") * u)
    for classes, rate, own in (((1, 2), u, family[0]), ((3, 4), v, family[1])):
        live = herd[classes[0]] + herd[classes[1]]
        share = np.divide(own * (1.0 + lost), live, out=np.ones_like(live), where=live > 0)
        for at in classes:
            left[at] = herd[at] * np.maximum(0.0, 1.0 - rate - share)
    return left


def next_fall(
    before: np.ndarray, left: np.ndarray, rates: Rates, winter: Winter, noise: tuple = (1.0, 1.0, 1.0)
) -> np.ndarray:
    """The herd next fall, before the hunt.

    Parameters: before (5, n) before the hunt (crowding is felt by all of them), left (5, n) after it; noise: factors on
    fawns that live, grown deer that live, fawns that reach fall.

    Notes: nF = F min(1, sF kf eF), nY, nA, bucks alike; F' = (bF nF + bY nY + bA nA) kb (sn/2) eB room, room
    max(0, 1 - c(2F+Y+A)); Y' = B1' = nF; A' = nY + nA; B2' = (B1 + B2) that live.
    """
    luck_fawns, luck_grown, luck_births = noise
    out = np.empty_like(left)
    fawns = left[0] * np.minimum(1.0, rates.survive_fawn * (winter.fawns * luck_fawns))
    grown = winter.grown * luck_grown
    young = left[1] * np.minimum(1.0, rates.survive_yearling_doe * grown)
    old = left[2] * np.minimum(1.0, rates.survive_doe * grown)
    room = np.maximum(0.0, 1.0 - rates.crowding * (2.0 * before[0] + before[1] + before[2]))
    born = rates.births_fawn * fawns + rates.births_yearling * young + rates.births_adult * old
    out[0] = born * (winter.births * luck_births) * (rates.fawn_to_fall / 2.0) * room
    out[1] = out[3] = fawns
    out[2] = young + old
    out[4] = (left[3] + left[4]) * np.minimum(1.0, rates.survive_buck * grown)
    return out
