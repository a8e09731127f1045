"""How fast each stand grows: by its site, by what the family measured, and not faster than published woods.

Site and cores   factors, Rates
Visits           died, moved
Bands            Bands, bands_of, held_pct, hold, outside_bands

A forester wants the growth to count on, with an honest range, until the stand itself has been measured: a default that
promises more than any wood of that kind and size was seen to grow would be cut, and never come back. So the default is
held downward only; a stand that the equations find slow stays slow.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.covers import rows_of
from woodlot.estimate import LEVEL, Reason, reason, z_quantile
from woodlot.news import gain
from woodlot.plan.woods import CASES, Woods, chosen, is_fitted, run
from woodlot.region import Region
from woodlot.stand import grow
from woodlot.stand.ageing import size_deaths, usual_largest_in
from woodlot.stand.grow_year import mortality_share
from woodlot.stand.site import site_factors
from woodlot.stand.stocking import quadratic_mean_diameter_in
from woodlot.trade import EVEN_AGED
from woodlot.tree.growth import dbh_growth_in, equations, growth_default, own_figures
from woodlot.units import basal_sqft

__all__ = ["Bands", "Rates", "bands_of", "died", "factors", "held_pct", "hold", "moved", "outside_bands"]

#: Steps at most by which the factor of a stand that is held is found, how near it comes, and the least it may be.
STEPS, NEAR, LEAST = 4, 2e-4, 0.05
#: A hold of less than this is not told [percent a year].
SHOWS = 0.1
#: Plots visited again that a stand must have before they speak of its growth.
LEAST_PLOTS = 3


@dataclass(frozen=True)
class Rates:
    """Factors on growth by case, for the arrays (species, stand) and for stands of one age (stand); columns: cores (how
    many stand behind each stand), twice (of them trees measured twice), backed, site_by, place_log_sd and stand_log_sd.
    """

    factor: dict[str, np.ndarray]
    even: dict[str, np.ndarray]
    columns: dict[str, np.ndarray]


def factors(n: np.ndarray, species: Sequence[str], today: pd.DataFrame, cores: pd.DataFrame, region: Region) -> Rates:
    """What site and own cores put on the growth of each stand, and what stays unknown of it.

    Parameters
    ----------
    n
        Trees per acre (species, class, stand).
    species
        Rows of ``n``.
    today
        stand_id, cover, way, main, soil, site_species, site_index_ft of each stand.
    cores
        stand_id, species, dbh_in, years, growth_in; twice (yes/no) where trees measured twice are among them.
    region
        Whose figures are used.

    Returns
    -------
    ``Rates``: low and high are mid times exp(-+1.645 sd), sd of both unknown parts together. The site stands in the
    figures for stands of one age already (path B), so only cores move these; their range (even_aged_range) narrows as
    that of the others does.
    """
    ids, names = today["stand_id"].tolist(), list(species)
    speaks_of = today["site_species"].where(today["site_species"].notna(), today["main"]).fillna("")
    site, known = site_factors(names, today["soil"].tolist(), today["site_index_ft"], speaks_of.tolist(), region=region)
    indexed = known & today["site_index_ft"].notna().to_numpy() & (speaks_of != "").to_numpy()
    site_sd = np.where(known, *(growth_default(f"site_sd_{which}", region) for which in ("known", "unknown")))
    used = cores[cores["stand_id"].astype(str).isin(ids) & cores["species"].isin(names)] if len(cores) else cores
    figures = [equations(names, fitted=f, region=region)[0] for f in (False, True)]
    s = pd.Index(names).get_indexer(pd.Index(used["species"]))
    k = pd.Index(ids).get_indexer(pd.Index(used["stand_id"].astype(str)))
    at = np.maximum(grow.class_of(used["dbh_in"].to_numpy(dtype=float), region=region), 0)
    b = basal_sqft(grow.classes(region=region))[:, None] * n.sum(axis=0)
    bal = (b[::-1].cumsum(axis=0)[::-1] - 0.5 * b)[at, k]
    eq = np.where(is_fitted(today, region=region)[k][:, None], figures[1][s], figures[0][s])
    mean = used["dbh_in"].to_numpy(dtype=float) - 0.5 * used["growth_in"].to_numpy(dtype=float)
    own = own_figures(used, dbh_growth_in(eq, mean, bal) * site[s, k], ids, names, site_sd, region)
    again = used["twice"].fillna(False).to_numpy(dtype=bool) if "twice" in used else np.zeros(len(used), dtype=bool)
    counted, twice = (np.bincount(k[which], minlength=len(ids)) for which in (slice(None), again))

    z = z_quantile(LEVEL)
    sd = np.hypot(own.place_log_sd, own.stand_log_sd)
    off = growth_default("even_aged_range", region)
    narrowed = sd / np.hypot(site_sd, growth_default("between_stands_sd", region))
    main = np.array([names.index(m) if m in names else 0 for m in today["main"]], dtype=int)
    by_cores = own.factor[main, np.arange(len(ids))]
    of_one_age = today["way"].isin(EVEN_AGED).to_numpy()
    share = np.where(of_one_age, -np.log1p(-off) / z * narrowed / sd, 1.0)
    signs = list(zip(CASES, (-1.0, 0.0, 1.0), strict=True))
    return Rates(
        factor={case: site * own.factor * np.exp(sign * z * sd) for case, sign in signs},
        even={case: by_cores * (1.0 + sign * off) ** narrowed for case, sign in signs},
        columns={
            "cores": counted,
            "twice": twice,
            "backed": counted >= growth_default("cores_enough", region=region),
            "site_by": np.select([indexed, known], ["site index", "soil"], ""),
            "place_log_sd": own.place_log_sd * share,
            "stand_log_sd": own.stand_log_sd * share,
        },
    )


def died(woods: Woods, fates: pd.DataFrame, apart: np.ndarray, *, region: Region) -> Woods:
    """The woods with what plots visited again put on all usual deaths: (deaths + 10)/(expected + 10), over the place.

    Parameters
    ----------
    woods
        On the day of their plots.
    fates
        ``visits.Again.fates``.
    apart
        Kinds whose deaths have a cause of their own (species, stand); they are left out.
    region
        Whose figures are used.

    Few trees die in ten years, so one stand says nothing and few deaths little: the 10 is chosen. Source: forest
    ageing, section 8.
    """
    s = pd.Index(woods.species).get_indexer(pd.Index(fates["species"]))
    k = pd.Index(woods.stands["stand_id"]).get_indexer(pd.Index(fates["stand_id"]))
    good = (s >= 0) & (k >= 0)
    good[good] = ~apart[s[good], k[good]]
    s, k, rows = s[good], k[good], fates[good]
    crowd_from, slope, where_measured, pooled = (
        growth_default(name, region)
        for name in ("crowding_from", "crowding_slope", "crowding_where_measured", "deaths_pooled")
    )
    density = grow.relative_density(woods.trees, woods.sg, region=region)
    crowding = np.maximum(1.0, 1.0 + slope * (density - crowd_from))
    fitted = is_fitted(woods.stands, region=region)
    crowding = np.where(fitted, crowding / where_measured, crowding)
    dbh = rows["dbh_in"].to_numpy(dtype=float)
    yearly = mortality_share(dbh, region=region) * crowding[k]
    yearly = yearly + size_deaths(dbh, usual_largest_in(woods.species, region=region)[s], fitted[k], region=region)
    expected = 1.0 - (1.0 - np.minimum(yearly, growth_default("most_mortality", region))) ** rows["years"].to_numpy()
    died, told = float(rows["died"].sum()), float(expected.sum())
    factor = (died + pooled) / (told + pooled)
    why = [reason("deaths by visits", died=died, trees=len(rows), expected=told, factor=factor)] if len(rows) else []
    return replace(woods, death_factor=factor, visits=(*woods.visits, *why))


def moved(woods: Woods, moves: pd.DataFrame, *, region: Region) -> Woods:
    """The woods with what plots visited again say of basal area, where their trees bear no numbers.

    Parameters
    ----------
    woods
        On the day of their plots.
    moves
        ``visits.Again.moves`` by stand_id, with cut_cords (taken from the stand between the visits).
    region
        Whose figures are used.

    Growth of live trees as it was (gained + cut - ingrowth + deaths, the last two as they are foreseen) over growth as
    it is foreseen, each stand by itself: its logarithm counts by w = sd^2/(sd^2 + error^2), and what stays unknown is
    times sqrt(1 - w). The error is that of the plots and of the cords cut. Under three plots nothing is said.
    """
    ids = woods.stands["stand_id"]
    k = np.flatnonzero(ids.isin(moves.index[moves["plots"] >= LEAST_PLOTS]) & (woods.trees.sum(axis=(0, 1)) > 0))
    if not len(k):
        return woods
    rows, stands = moves.loc[ids.iloc[k]], woods.stands.iloc[k]
    path = run(_then(woods, woods.stands["seasons"]), 1, columns=k, region=region)
    foreseen, ingrowth, deaths = path.survivor[0], path.ingrowth[0], path.mortality[0]
    cords = (stands["cords_then"] * stands["acres"]).to_numpy(dtype=float)
    cut = rows["cut_cords"].to_numpy() / rows["years"].to_numpy() * path.basal[0] / np.where(cords > 0, cords, np.inf)
    measured = rows["sqft_per_yr"].to_numpy() + cut - ingrowth + deaths
    ratio = np.maximum(measured / foreseen, growth_default("site_factor_low", region) / 4.0)
    off = np.hypot(rows["se"].to_numpy(), region.figure("defaults_tally", "stacking_cv") * cut)
    sd = _log_sd(stands)
    weight = gain(sd**2, (off / foreseen / ratio) ** 2)
    share, left = np.ones((2, len(ids)))
    share[k], left[k] = np.exp(weight * np.log(ratio)), np.sqrt(1.0 - weight)
    told = woods.stands.assign(**{name: woods.stands[name] * left for name in ("place_log_sd", "stand_log_sd")})
    factor, even = (
        {case: of["mid"] * share * (one / of["mid"]) ** left for case, one in of.items()}
        for of in (woods.factor, woods.even)
    )
    each = {"stands": ids.iloc[k], "factor": share[k], "weight": weight, "plots": rows["plots"]}
    why = reason("growth by visits", **{name: tuple(np.asarray(one).tolist()) for name, one in each.items()})
    return replace(woods, stands=told, factor=factor, even=even, visits=(*woods.visits, why))


@dataclass(frozen=True)
class Bands:
    """Published growth of each stand's cover and size: low and high [percent of the stock a year; NaN where no band is
    known], and whether they are of basal area in place of cords.
    """

    low_pct: np.ndarray
    high_pct: np.ndarray
    of_basal: np.ndarray


def bands_of(stands: pd.DataFrame, qmd_in: np.ndarray, *, region: Region) -> Bands:
    """The band of each stand by its cover, mean diameter and age; of unknown age: from the lowest to the highest.

    stands: cover, age_yr; qmd_in: mean diameter of the trees of 5 in and more [in]. Source and mark of each row:
    growth_bands.csv.
    """
    table = region.table("growth_bands", rows=())
    cover = rows_of("growth_bands", stands["cover"], region)
    age = stands["age_yr"].to_numpy(dtype=float)
    low, high = np.full((2, len(stands)), np.nan)
    of_basal = np.zeros(len(stands), dtype=bool)
    for row in table.to_dict("records"):
        fits = cover == row["cover"]
        fits &= ~(qmd_in < row["qmd_from_in"]) & ~(qmd_in >= row["qmd_below_in"])
        fits &= ~(age < row["age_from_yr"]) & ~(age >= row["age_below_yr"])
        if fits.any():
            region.note("growth_bands", (f"{row['cover']} {row['size']}",))
        low[fits] = np.fmin(low[fits], row["low_pct"])
        high[fits] = np.fmax(high[fits], row["high_pct"])
        of_basal[fits] = row["of"] == "basal"
    return Bands(low, high, of_basal)


def held_pct(model_pct: np.ndarray, low_pct: np.ndarray, high_pct: np.ndarray, log_sd: np.ndarray) -> np.ndarray:
    """Growth that a model and a published band give together, downward only; the model's own where it is not over the
    middle of the band, not over 0, or no band is known.

    model_pct, low_pct, high_pct [percent a year]; log_sd: standard deviation of the logarithm of the model. The band
    holds 90 % of what was published: its middle sqrt(low high), its sd ln(high/low)/3.2897; both meet by their errors,
    never over the band. Source: forest ageing, section 6.

    >>> held_pct(np.array([5.7, 5.1]), np.array([3, 2]), np.array([4, 4]), np.array([0.28, 0.45])).round(3).tolist()
    [3.621, 3.145]
    """
    middle = np.sqrt(low_pct * high_pct)
    over = model_pct > np.where(np.isfinite(middle), np.maximum(middle, 0.0), np.inf)
    band_sd = np.log(high_pct / low_pct) / (2.0 * z_quantile(LEVEL))
    weight = gain(band_sd**2, log_sd**2)
    both = np.exp(weight * np.log(np.where(over, model_pct, 1.0)) + (1.0 - weight) * np.log(middle))
    return np.where(over, np.minimum(both, high_pct), model_pct)


def hold(woods: Woods, ago_yr: np.ndarray | float = 0.0, *, region: Region) -> Woods:
    """The woods with growth held inside published bands where too few cores stand behind it.

    One factor a stand on all its growth, so that ten years of it meet ``held_pct``; one that was put on before is taken
    off first. ago_yr: how long ago the trees stood so, by stand [yr]. Adds to the stands: band_low_pct, band_high_pct
    (NaN: no band), band_of_basal (yes/no: percent of basal area, not of cords), default_pct (before it was held),
    growth_pct, held (yes/no), held_share (the factor).
    """
    stands, then = woods.stands, _then(woods, ago_yr)
    then = replace(then, values={name: woods.values[name] for name in ("cords", "bdft")})
    if "held_share" in stands:
        then = _times(then, 1.0 / stands["held_share"].to_numpy())
    each = woods.trees.sum(axis=0)
    qmd = quadratic_mean_diameter_in(basal_sqft(grow.classes(region=region)) @ each, each.sum(axis=0))
    bands = bands_of(then.stands, qmd, region=region)
    default = _pct(then, np.arange(len(stands)), bands, region=region)
    log_sd = _log_sd(stands)
    goal = held_pct(default, bands.low_pct, bands.high_pct, log_sd)
    held = ~(stands["backed"] | stands["young"]).to_numpy(dtype=bool) & (goal < default)
    begin = stands["held_share"].to_numpy() if "held_share" in stands else np.ones(len(stands))
    share = _share_that_meets(then, goal, default, held, begin, bands, region=region)
    more = {"band_low_pct": bands.low_pct, "band_high_pct": bands.high_pct, "band_of_basal": bands.of_basal}
    more["default_pct"] = default
    told = stands.assign(**more, growth_pct=np.where(held, goal, default), held=held, held_share=share)
    once = _times(then, share)
    return replace(woods, stands=told, factor=once.factor, even=once.even)


def _log_sd(stands: pd.DataFrame) -> np.ndarray:
    """What stays unknown of the growth of each stand, both parts together."""
    sd: np.ndarray = np.hypot(*(stands[name].to_numpy(dtype=float) for name in ("place_log_sd", "stand_log_sd")))
    return sd


def _then(woods: Woods, ago_yr: Any) -> Woods:
    """The woods with each stand so much younger [yr]."""
    return replace(woods, stands=woods.stands.assign(age_yr=woods.stands["age_yr"] - ago_yr))


def _times(woods: Woods, share: np.ndarray | float) -> Woods:
    """The woods with a factor on all growth of each stand."""
    factor, even = ({case: one * share for case, one in of.items()} for of in (woods.factor, woods.even))
    return replace(woods, factor=factor, even=even)


def _share_that_meets(
    woods: Woods,
    goal: np.ndarray,
    default: np.ndarray,
    held: np.ndarray,
    begin: np.ndarray,
    bands: Bands,
    *,
    region: Region,
) -> np.ndarray:
    """The factor on all growth of each stand that is held by which it meets its goal: secants, all stands at once.

    begin: where to look first, 1 for goal over default.
    """
    share, k = np.ones(len(goal)), np.flatnonzero(held)
    if not len(k):
        return share
    one, pct, wanted = np.ones(len(k)), default[k], goal[k]
    two = np.clip(np.where(begin[k] < 1.0, begin[k], wanted / pct), LEAST, 1.0)
    for _ in range(STEPS):
        share[k] = two
        got = _pct(_times(woods, share), k, bands, region=region)
        if np.allclose(got, wanted, rtol=NEAR, atol=0.0):
            break
        slope = np.where(two != one, (got - pct) / np.where(two != one, two - one, 1.0), 0.0)
        step = np.where(slope > 0, (wanted - got) / np.where(slope > 0, slope, 1.0), 0.0)
        one, pct, two = two, got, np.clip(two + step, LEAST, 1.0)
    share[k] = two
    return share


def _pct(woods: Woods, k: np.ndarray, bands: Bands, *, region: Region) -> np.ndarray:
    """Mean yearly growth over ten years of the stands ``k`` [percent of the stock]; NaN where nothing stands."""
    years = int(chosen("growth_years", region=region))
    path = run(woods, years, columns=k, region=region)
    stock = np.where(bands.of_basal[k], path.basal, path.cords)
    return np.divide(100.0 / years * (stock[-1] - stock[0]), stock[0], out=np.full(len(k), np.nan), where=stock[0] > 0)


def outside_bands(stands: pd.DataFrame, whole_pct: float, *, region: Region) -> list[Reason]:
    """What is to be said of growth beside published bands; one Reason for each thing.

    Parameters
    ----------
    stands
        ``Woods.stands``.
    whole_pct
        Net growth a year of all stands together [percent of cords].
    region
        Whose figures are used.
    """
    names = ("growth_pct", "default_pct", "band_low_pct", "band_high_pct")
    pct, default, low, high = (stands[name].to_numpy(dtype=float) for name in names)
    held, of_basal = (stands[name].to_numpy(dtype=bool) for name in ("held", "band_of_basal"))
    ids = stands["stand_id"].to_numpy(dtype=object)
    out = []
    alone = (stands["way"] == "stand table").to_numpy() & ~stands["backed"].to_numpy(dtype=bool) & np.isfinite(pct)
    if alone.any():
        off = (
            z_quantile(LEVEL) * np.hypot(*(stands[f"{of}_log_sd"].to_numpy()[alone] for of in ("place", "stand"))).max()
        )
        bare = tuple(ids[alone & (stands["site_by"] == "").to_numpy()])
        out.append(reason("growth range", low=np.exp(-off), high=np.exp(off), bare=bare))
    if (at := held & (default - pct >= SHOWS)).any():
        each = {"pct": pct, "default_pct": default, "of_basal": of_basal}
        out.append(reason("growth held", stands=tuple(ids[at]), **{n: tuple(v[at].tolist()) for n, v in each.items()}))
    apart = stands["young"].to_numpy(dtype=bool) | stands["past_age"].to_numpy(dtype=bool)
    if (at := ~apart & ((pct < low) | (~held & (pct > high)))).any():
        each = {"pct": pct, "low": low, "high": high, "of_basal": of_basal}
        told = {n: tuple(v[at].tolist()) for n, v in each.items()}
        out.append(reason("growth beside bands", stands=tuple(ids[at]), **told))
    most = growth_default("whole_most_growth_pct", region)
    if whole_pct > most and not stands["backed"].all():
        out.append(reason("growth over states", pct=whole_pct, most=most))
    return out
