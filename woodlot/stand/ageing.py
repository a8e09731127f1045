"""How stands and trees age: when short-lived kinds break up, and how big trees die more.

By age     breakup, Breakup, standing_share, lost_in_year, chance_standing, reach_share
By size    usual_largest_in, size_deaths

A forester wants to know until when a stand is worth waiting for and what is lost by waiting, at three paces, since no
single year is known: what breaks up is never counted in a cut that is to last.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from woodlot.errors import InputError
from woodlot.region import Region, once

__all__ = [
    "PACES",
    "PACE_OF",
    "Breakup",
    "breakup",
    "chance_standing",
    "lost_in_year",
    "reach_share",
    "size_deaths",
    "standing_share",
    "usual_largest_in",
]

PACES = ("fast", "mid", "slow")
#: Pace of the low, middle and high end of what grows.
PACE_OF = {"low": "fast", "mid": "mid", "high": "slow"}
#: Of the trees that reach the longest age of their kind, one in a hundred still stands.
AT_LONGEST = 0.01


@dataclass(frozen=True)
class Breakup:
    """Ages of some kinds (species) [yr]: at which a stand of them begins to fall apart, at which half of it is gone,
    and until which it is worth cutting; NaN for kinds that do not break up at an age.
    """

    onset_yr: np.ndarray
    half_yr: np.ndarray
    latest_cut_yr: np.ndarray


def breakup(species: Sequence[str], pace: str, *, region: Region) -> Breakup:
    """Ages of break-up of some kinds at a pace; a kind of several species has ages only where all of them have.

    Parameters: species, plain common names; pace, "fast", "mid" or "slow". Raises InputError for another pace. Source
    and mark of each row: breakup_ages.csv.
    """
    if pace not in PACES:
        raise InputError(f"a pace is fast, mid or slow, not {pace!r}")
    return _breakup(tuple(species), pace, region=region)


@once
def _breakup(species: tuple[str, ...], pace: str, *, region: Region) -> Breakup:
    rows = region.records("breakup_ages", "species", "pace")
    names = ("onset_yr", "half_yr", "latest_cut_yr")
    out = np.full((len(names), len(species)), np.nan)
    for at, one in enumerate(species):
        members = region.species.members(region.species.name(one))
        if members and all((member, pace) in rows for member in members):
            out[:, at] = np.mean([[float(rows[member, pace][name]) for name in names] for member in members], axis=0)
    return Breakup(*out)


def standing_share(age_yr: Any, onset_yr: Any, half_yr: Any) -> np.ndarray:
    """Share of a stand's short-lived trees that still stands at an age: 1 up to the onset, a half at the half age.

    age_yr, onset_yr, half_yr [yr], broadcast; NaN ages stand whole. L = exp(-ln 2 ((A - Ao)/(Ah - Ao))^2), a chosen
    form.

    >>> [round(float(standing_share(a, 60, 80)), 4) for a in (60, 70, 80)]
    [1.0, 0.8409, 0.5]
    """
    age, onset, half = (np.asarray(one, dtype=float) for one in (age_yr, onset_yr, half_yr))
    past = np.maximum(np.nan_to_num((age - onset) / (half - onset)), 0.0)
    return np.exp(-np.log(2.0) * np.square(past))


def lost_in_year(age_yr: Any, onset_yr: Any, half_yr: Any) -> np.ndarray:
    """Share lost in the year after an age: 1 - L(A + 1)/L(A); 0 before the onset.

    >>> [round(100 * float(lost_in_year(a, 60, 80)), 2) for a in (59, 70, 80)]
    [0.0, 3.57, 6.86]
    """
    age = np.asarray(age_yr, dtype=float)
    return 1.0 - standing_share(age + 1.0, onset_yr, half_yr) / standing_share(age, onset_yr, half_yr)


def chance_standing(age_yr: Any, typical_yr: Any, longest_yr: Any) -> np.ndarray:
    """Chance that one tree of known age stands: half at the typical age of its kind, one in a hundred at the longest.

    Only to warn by; the ages of break-up of a stand go before. Weibull: S = exp(-ln 2 (t/T)^k), k = ln(ln 100/ln
    2)/ln(M/T).

    >>> round(float(chance_standing(60, 70, 125)), 4)
    0.6577
    """
    age, typical, longest = (np.asarray(one, dtype=float) for one in (age_yr, typical_yr, longest_yr))
    power = np.log(np.log(AT_LONGEST) / np.log(0.5)) / np.log(longest / typical)
    return np.exp(np.log(0.5) * (age / typical) ** power)


def reach_share(kind: str, age_yr: float, *, region: Region) -> float:
    """Share of trees of a kind that reach an age [yr] (``chance_standing``, longevity.csv); NaN where none is known."""
    row = region.records("longevity", "species").get(region.species.name(kind))
    ages = [float("nan")] * 2 if row is None else [float(row[name]) for name in ("typical_yr", "longest_yr")]
    return float(chance_standing(age_yr, *ages))


def usual_largest_in(species: Sequence[str], *, region: Region) -> np.ndarray:
    """Usual largest diameter of each kind in a closed wood [in] (longevity.csv; its means for a kind of several).

    A kind without a row takes that of any hardwood or any softwood.
    """
    return _usual_largest_in(tuple(species), region=region)


@once
def _usual_largest_in(species: tuple[str, ...], *, region: Region) -> np.ndarray:
    rows = region.records("longevity", "species")
    out = np.empty(len(species))
    for at, one in enumerate(species):
        name = region.species.name(one)
        other = "any hardwood" if region.species.is_hardwood(name) else "any softwood"
        members = region.species.members(name) or (name,)
        out[at] = np.mean([float(rows[m if m in rows else other]["usual_largest_dbh_in"]) for m in members])
    return out


def size_deaths(dbh_in: Any, largest_in: Any, as_measured: Any = False, *, region: Region) -> np.ndarray:
    """More deaths a year, as a share, of trees near the usual largest diameter: .02 (d/Du)^6, both chosen.

    dbh_in, largest_in [in], as_measured (yes/no), broadcast. It keeps a stand table from growing giants and is never
    told of one tree. as_measured: in the kind of stands whose trees gave the class shares of death (oak, hickory,
    cherry, red maple) only what is over its value at 1.2 Du: those shares hold what died up to the largest trees there.
    """
    names = ("size_deaths_at_largest", "size_deaths_power", "size_deaths_measured_from")
    at_largest, power, begins = (region.figure("defaults_growth", name) for name in names)
    told = at_largest * (np.asarray(dbh_in, dtype=float) / np.asarray(largest_in, dtype=float)) ** power
    return np.where(as_measured, np.maximum(told - at_largest * begins**power, 0.0), told)
