"""Stand tables that grow: trees per acre by species and 2-inch class, one year at a time, every year balanced.

Ladder of sizes   classes, class_of, to_array
Growing           project, Projection
Looking at it     relative_density, outside_band

Made for uneven-aged hardwoods, and for any stand that has no equation of its own. Pine and aspen of one age are in
``stand.even_aged``. One step is a year (``stand.grow_year``); everything that drives it is taken at its start.

A forester wants to know what a wood holds in some years if it is left alone, with no giants that nobody finds in an old
wood and no growth that published trees do not show.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.stand.ageing import size_deaths
from woodlot.stand.grow_year import Account, Marker, Model
from woodlot.stand.stocking import relative_density_ducey_2010
from woodlot.tree.growth import growth_default

__all__ = [
    "Projection",
    "class_of",
    "classes",
    "outside_band",
    "project",
    "relative_density",
    "to_array",
]

BLOCK = 1250


@dataclass(frozen=True)
class Projection:
    """Stands after some years, and the account of each year.

    trees: (species, class, stand) at the end. At the start and after each year, arrays (years + 1, stand): basal [sq
    ft/ac], stems [trees/ac], density (relative), and ``worth`` name -> amount per acre. For each year, (years, stand)
    in sq ft/ac: survivor, ingrowth, mortality (what breaks up with it), cut; ``stems_in`` and ``stems_out`` (died)
    [trees/ac]; ``taken`` and ``broken`` name -> amount per acre cut, and lost by break-up; seen: year ->
    trees at its start, after the cut of that winter.
    """

    trees: np.ndarray
    basal: np.ndarray
    stems: np.ndarray
    density: np.ndarray
    survivor: np.ndarray
    ingrowth: np.ndarray
    mortality: np.ndarray
    cut: np.ndarray
    stems_in: np.ndarray
    stems_out: np.ndarray
    worth: dict[str, np.ndarray] = field(default_factory=dict)
    taken: dict[str, np.ndarray] = field(default_factory=dict)
    broken: dict[str, np.ndarray] = field(default_factory=dict)
    seen: dict[int, np.ndarray] = field(default_factory=dict)


def classes(number: int | None = None, *, region: Region) -> np.ndarray:
    """Middle of each diameter class [in]: 6, 8, 10 ... ; class 6 holds 5.0 to 6.9 in, the last one all larger trees."""
    count = int(growth_default("classes", region=region)) if number is None else number
    return growth_default("least_class_in", region=region) + growth_default(
        "class_width_in", region=region
    ) * np.arange(count)


def class_of(dbh_in: np.ndarray, *, region: Region) -> np.ndarray:
    """Position of each diameter in ``classes``; -1 below the smallest."""
    sizes = classes(region=region)
    width = growth_default("class_width_in", region=region)
    at = np.floor((np.asarray(dbh_in, dtype=float) - sizes[0] + width / 2.0) / width)
    return np.clip(np.where(np.isnan(at), -1, at), -1, len(sizes) - 1).astype(int)


def to_array(rows: pd.DataFrame, stand_ids: Sequence[str], species: Sequence[str], *, region: Region) -> np.ndarray:
    """A stand table as trees per acre (species, class, stand).

    ``rows`` is ``plots.stand_table``: stand_id, species, class_in, trees_per_ac. Trees under the smallest class and
    those without a class (counted in a stand where none was measured) are left out.
    """
    at = class_of(rows["class_in"].to_numpy(dtype=float), region=region)
    s = pd.Index(list(species)).get_indexer(pd.Index(rows["species"]))
    k = pd.Index([str(i) for i in stand_ids]).get_indexer(pd.Index(rows["stand_id"].astype(str)))
    many = rows["trees_per_ac"].to_numpy(dtype=float)
    good = (at >= 0) & (s >= 0) & (k >= 0) & np.isfinite(many)
    out = np.zeros((len(species), len(classes(region=region)), len(stand_ids)))
    np.add.at(out, (s[good], at[good], k[good]), many[good])
    return out


def project(
    trees_per_ac: np.ndarray,
    equations: np.ndarray,
    years: int,
    *,
    wood_sg: np.ndarray,
    factor: np.ndarray | None = None,
    saplings_per_ac: np.ndarray | None = None,
    seed_shares: np.ndarray | None = None,
    deaths: np.ndarray | None = None,
    death_factor: float = 1.0,
    largest_in: np.ndarray | None = None,
    lost: np.ndarray | None = None,
    leave_sqft: np.ndarray | None = None,
    mark: Marker | None = None,
    worth: Mapping[str, np.ndarray] | None = None,
    as_measured: bool = False,
    seen: Sequence[int] = (),
    block: int = BLOCK,
    region: Region,
) -> Projection:
    """Let stands grow.

    Parameters
    ----------
    trees_per_ac
        Trees per acre (species, class, stand), classes as ``classes``.
    equations
        b0, b1, b2 of diameter growth by species (species, 3), ``tree.growth.equations``.
    years
        Number of years [yr].
    wood_sg
        Specific gravity of each species' wood (relative density).
    factor
        What cores put on growth (species, stand), or year by year (years or more, species, stand); None for 1.
    saplings_per_ac
        Stems of 2.0 to 4.9 in (stand) [trees/ac]; NaN or None where nobody counted them. 0 means no ingrowth at all.
    seed_shares
        Species of ingrowth (species, stand) where a stand has no small trees; None for all alike.
    deaths
        More deaths a year by species and stand (dying ash), or year by year as ``factor``, as shares; None for none.
    death_factor
        Times the usual deaths, those by size too (what plots visited again say).
    largest_in
        Usual largest diameter of each species [in] (``ageing.usual_largest_in``), near which more trees die; None for
        none.
    lost
        Share of a kind's trees that break-up takes in each year (years, species, stand); where it is over 0 it stands
        in place of that kind's growth, deaths and ingrowth. None for none.
    leave_sqft
        Basal area to leave in the winter before each year (years, stand) [sq ft/ac]; NaN for no cut.
    mark
        Which trees go when a stand is cut; None takes the same share of all.
    worth
        Name -> what one tree holds (species, class); sums are kept for every year.
    as_measured
        Whether these are stands of the kind in which the class shares of death were measured (oak, hickory, cherry,
        red maple): the shares then already hold the crowding of those stands.
    seen
        Years of which the trees are kept.
    block
        Stands worked at a time.
    region
        Whose figures are used.

    Returns
    -------
    ``Projection``.

    Notes
    -----
    With b = basal area of a class and BAL half its own and all of larger classes: growth = exp(b0 + b1 ln d + b2
    BAL/100); deaths = class share x (1 + 5 (RD - .6)) where RD is above .6, at most .5; with ``as_measured`` over 1.21,
    the mean of that multiplier where the shares were measured; and .02 (d/largest)^6, with ``as_measured`` only what of
    it is over its value at 1.2, since the shares hold what died up to the largest trees there; all together at most .5.
    With p = growth/2, A and B the steps to the class under and the one over, p (n + (1 - p) AB/(A + B)) of the n
    survivors move up a class, p n where A and B differ in sign: that spreads a class far less than p n alone. Ingrowth
    into the smallest class exp(1.920 - .0085 B), at most 5, or with saplings S exp(-2.497 - .01117 B + .911 ln(S + 1)),
    shared out as the stems of the two smallest classes are. The last class keeps what reaches it. Source: forest growth
    defaults (defaults_growth.csv, growth_mortality.csv).
    """
    n = np.asarray(trees_per_ac, dtype=float)
    species, count, stands = _checked(n, equations, wood_sg, years)
    sizes = classes(count, region=region)
    worth = {k: np.asarray(v, dtype=float).reshape(species, count) for k, v in (worth or {}).items()}
    more = np.zeros((count, species))
    if largest_in is not None:
        more = size_deaths(sizes[:, None], largest_in, as_measured, region=region)
    account = Account(years, stands, worth)
    figures, gravity = (np.asarray(one, dtype=float) for one in (equations, wood_sg))
    model = Model(sizes, figures, gravity, as_measured, more, account, death_factor, region=region)
    looks = {year: np.empty_like(n) for year in (*seen, years)}
    for start in range(0, stands, block):
        part = slice(start, min(start + block, stands))
        of_stands = (_part(one, part) for one in (factor, saplings_per_ac, seed_shares, deaths, lost))
        model.enter(np.array(n[:, :, part].transpose(1, 0, 2), order="C"), *of_stands)
        for year in range(years):
            if leave_sqft is not None:
                model.cut(leave_sqft[year, part], mark, year, part)
            if year in looks:
                looks[year][:, :, part] = model.whole.transpose(1, 0, 2)
            model.step(year, part)
        model.state(years, part)
        trees = np.maximum(model.whole.transpose(1, 0, 2), 0.0)  # single precision may leave -1e-27
        looks[years][:, :, part] = trees
    return Projection(trees=looks[years], seen=looks, **account.result())


def _part(values: np.ndarray | None, part: slice) -> np.ndarray | None:
    return None if values is None else np.asarray(values, dtype=float)[..., part]


def _checked(n: np.ndarray, equations: np.ndarray, wood_sg: np.ndarray, years: int) -> tuple[int, int, int]:
    if n.ndim != 3:
        raise InputError(f"trees per acre are wanted as (species, class, stand), not {n.ndim} axes")
    if np.any(n < 0) or not np.all(np.isfinite(n)):
        raise InputError("trees per acre must be 0 or more")
    if np.shape(equations) != (n.shape[0], 3) or np.shape(wood_sg) != (n.shape[0],):
        raise InputError(f"equations (species, 3) and wood_sg (species) are wanted for {n.shape[0]} species")
    if years < 0:
        raise InputError(f"years must be 0 or more, not {years!r}")
    return n.shape


def outside_band(
    names: Sequence[str],
    net_sqft: np.ndarray,
    basal_sqft_per_ac: np.ndarray,
    density: np.ndarray,
    backed: np.ndarray,
    *,
    region: Region,
) -> list[Reason]:
    """Stands outside what published stands show; one Reason for each thing, missing figures are left out.

    Parameters
    ----------
    names
        Of the stands, as they are to be said.
    net_sqft
        Net growth of basal area a year [sq ft/ac].
    basal_sqft_per_ac, density
        Basal area and relative density today.
    backed
        Whether enough cores stand behind the growth.
    region
        Whose figures are used.
    """
    fast, dense, thick = (
        growth_default(name, region=region) for name in ("most_net_sqft", "most_relative_density", "most_basal_sqft")
    )
    outside = (
        ("fast without cores", fast, (net_sqft > fast) & ~backed),
        ("dense", dense, density > dense),
        ("thick", thick, basal_sqft_per_ac > thick),
    )
    ids = np.array(list(names), dtype=object)
    return [
        reason("outside the band", what=what, bound=float(bound), stands=tuple(ids[which]))
        for what, bound, which in outside
        if which.any()
    ]


def relative_density(trees_per_ac: np.ndarray, wood_sg: np.ndarray, *, region: Region) -> np.ndarray:
    """Relative density (stand) of trees per acre (species, class, stand): 1 is as dense as the mix can be."""
    sizes = classes(trees_per_ac.shape[1], region=region)
    one = np.asarray(
        relative_density_ducey_2010(sizes[None, :], 1.0, np.asarray(wood_sg, dtype=float)[:, None], region=region)
    )
    return np.tensordot(one, trees_per_ac, axes=2)
