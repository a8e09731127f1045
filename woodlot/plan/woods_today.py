"""Every stand from the day of its plots to today: grown by its seasons, less what the ledger says was cut.

To a day   bring_forward
Ledger     cut_since
Tally      less
Again      first_cruise
Salvage    losing
Deer       understory_bare
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from woodlot import ledger as book_lines
from woodlot.covers import said_of
from woodlot.estimate import Estimate, Reason, reason
from woodlot.plan import done, growth_rates, wood_values
from woodlot.plan.visits import Again, seasons_between
from woodlot.plan.woods import Woods, chosen, run, table_run
from woodlot.region import Region
from woodlot.species import WOOD
from woodlot.stand import even_aged, grow
from woodlot.stand.judged import Judged, failing, judged_of
from woodlot.stand.of_one_age import ageing_columns, brush_after, of_one_age
from woodlot.trade import EVEN_AGED, FELLED_KINDS
from woodlot.tree.growth import growth_default
from woodlot.units import basal_sqft

__all__ = ["bring_forward", "cut_since", "first_cruise", "less", "losing", "understory_bare"]

PINES, ASPENS = ("red pine", "eastern white pine", "jack pine"), ("quaking aspen", "bigtooth aspen", "balsam poplar")
#: More than this of a stand is never taken out of it by what was noted or tallied.
MOST_OUT_SHARE = 0.95


def understory_bare(seedlings: pd.DataFrame, least_plots: int = 15) -> bool:
    """Whether nothing over 3 feet stands on any open seedling plot, of 15 or more: no ingrowth is to be hoped for."""
    if "fenced" in seedlings:
        fenced = seedlings.loc[seedlings["fenced"].fillna(False).astype(bool), "plot_id"]
        seedlings = seedlings[~seedlings["plot_id"].isin(fenced)]
    if seedlings["plot_id"].nunique() < least_plots:
        return False
    return not float(seedlings[["from_3_to_5ft", "over_5ft"]].fillna(0).to_numpy(dtype=float).sum()) > 0


def cut_since(
    book: pd.DataFrame, since: pd.Series, by: done.Rates, until: date | None = None
) -> tuple[pd.Series, tuple[Reason, ...]]:
    """Cords of live trees that the ledger says were cut in each stand since its plots.

    Parameters
    ----------
    book
        The ledger.
    since
        Day of the plots by stand_id (missing: no plots).
    by
        Cords of stem behind each unit (``done.rates``).
    until
        Last day that counts; None for all.

    Returns
    -------
    Cords by stand_id, and the lines that were left out: dead trees (they are not in the live stock), units without
    a rate such as board feet by another rule. A line without a stand takes nothing out.
    """
    out = pd.Series(0.0, index=since.index)
    if not len(book) or not len(since):
        return out, ()
    lines = book_lines.standing(book)
    lines = lines[lines["kind"].isin(FELLED_KINDS) & lines["amount"].notna()]
    at = lines["stand_id"].map(since)
    day = pd.to_datetime(lines["date"])
    lines = lines[at.notna() & (day > at) & (True if until is None else day <= pd.Timestamp(until))]
    dead, unit = done.is_dead(lines), lines["unit"].fillna("")
    cords = done.cords_of(lines, by)
    left_out = [reason("dead trees", line=str(n)) for n in lines.loc[dead, "line"]]
    other = cords.isna()
    named = zip(lines.loc[other, "line"], unit[other], strict=True)
    left_out += [reason("other unit", line=str(n), unit=u) for n, u in named]
    good = ~dead & cords.notna()
    taken = cords[good].groupby(lines.loc[good, "stand_id"]).sum()
    return out.add(taken, fill_value=0.0).reindex(since.index), tuple(left_out)


def first_cruise(
    earlier_plots: pd.DataFrame, earlier_trees: pd.DataFrame, least_plots: int = 3
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Plots and trees of each plot's first visit, of stands with so many of them; ``Place``'s tables."""
    first = earlier_plots.sort_values("date", kind="stable").drop_duplicates("plot_id")
    many = first.groupby("stand_id")["plot_id"].transform("size")
    first = first[many >= least_plots].reset_index(drop=True)
    trees = earlier_trees.merge(first[["plot_id", "date"]], on=["plot_id", "date"])
    return first, trees.drop(columns="date")


def bring_forward(
    stands: pd.DataFrame,
    summary: pd.DataFrame,
    rows: pd.DataFrame,
    trees: pd.DataFrame,
    cords: Mapping[str, Estimate],
    cores: pd.DataFrame,
    book: pd.DataFrame,
    as_of: date,
    *,
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    region: Region,
    bare: bool = False,
    again: Again | None = None,
) -> Woods:
    """Every stand from the day of its plots to ``as_of``: grown by its seasons, less what the ledger says was cut.

    Parameters
    ----------
    stands
        stand_id, parcel_id, cover, acres, age_yr (on ``as_of``), site_index_ft; site_species and soil (may be missing).
    summary
        ``stand.cruise.summary``: stand_id, measured_on.
    rows
        ``stand.plots.stand_table`` of live trees.
    trees
        Tallied trees after ``wood.tally.products``, with bdft.
    cords
        Standing cords by stand_id.
    cores
        Increment cores.
    book
        The ledger.
    as_of
        The day.
    division, solid_cuft_per_cord, log_rule, region
        As for volumes, cords and board feet.
    bare
        Whether deer keep the understory bare: stands without a sapling count then have no ingrowth.
    again
        What plots visited again tell.

    Returns
    -------
    ``Woods``.
    """
    ids = stands["stand_id"].astype(str).tolist()
    live = rows[rows["class_in"].notna()]
    species = sorted(set(live["species"])) or ["sugar maple"]
    n = grow.to_array(live, ids, species, region=region)
    acres = stands["acres"].to_numpy(dtype=float)
    cords_of = np.array([(cords[s].value or 0.0) if s in cords else np.nan for s in ids])
    per_ac = cords_of / np.where(acres > 0, acres, 1.0)
    values = wood_values.by_class(species, trees, division, solid_cuft_per_cord, log_rule, region)
    today = pd.DataFrame({"stand_id": ids} | {name: stands[name].to_numpy() for name in ("parcel_id", "cover")})
    today["acres"] = acres
    for name in ("age_yr", "site_index_ft"):
        today[name] = pd.to_numeric(stands[name]).to_numpy(dtype=float)
    for name in ("soil", "site_species"):
        today[name] = stands[name].to_numpy(dtype=object) if name in stands else None
    today["measured_on"] = summary.set_index("stand_id")["measured_on"].reindex(ids).to_numpy()
    today["seasons"] = seasons_between(today["measured_on"], as_of, region=region)
    today["later"] = (pd.to_datetime(today["measured_on"]) > pd.Timestamp(as_of)).to_numpy()
    basal = np.tensordot(n, basal_sqft(grow.classes(region=region)), axes=([1], [0]))
    whole = basal.sum(axis=0)
    today["way"], today["main"] = _ways(today, basal, species, per_ac, region=region)
    dying = _dying(trees, ids, species, region=region)
    ageing = ageing_columns(today, basal, species, trees, region=region)
    today[ageing.columns.tolist()] = ageing
    aged = of_one_age(species, today["main"].to_numpy(), today["cover"].to_numpy(), region=region)
    pace = ageing["pace"].to_numpy()
    dead, old = failing(trees, ids, species, today["age_yr"].to_numpy(), aged, pace, region=region)
    judged = judged_of(trees, ids, species, dead | old, dying > 0, region=region)
    today["dying"] = dying.max(axis=0, initial=0.0) > 0
    today["salvage_share"], today["breakup_share"] = losing(n, basal, judged, dead, old, region=region)
    if again is not None and len(again.twice):
        cores = pd.concat([cores.assign(twice=False), again.twice], ignore_index=True)
    rates = growth_rates.factors(n, species, today, cores, region)
    today = today.assign(**rates.columns)
    model = _cords_now(n, values["cords"], today, solid_cuft_per_cord, region=region)
    ratio = np.where(model > 0, np.nan_to_num(per_ac) / np.where(model > 0, model, 1.0), np.where(per_ac > 0, 1.0, 0.0))
    saplings = _saplings(rows, ids, bare, region=region)
    today["brush"] = brush_after(n, today["short_kind"].to_numpy(), species, saplings, region=region)
    young = (today["way"] == "aspen").to_numpy() & ~(model > 0)
    ratio = np.where(young, 1.0, ratio)
    today["young"], today["cords_then"] = young, per_ac
    today["bare"] = (today["way"] == "stand table").to_numpy() & ~(whole > 0)
    woods = Woods(
        stands=today,
        species=species,
        trees=n,
        factor=rates.factor,
        even=rates.even,
        ratio=ratio,
        values=values,
        sg=_gravity(species, region=region),
        saplings=saplings,
        deaths=dying * region.figure("defaults_marking", "dying_per_yr"),
        judged=judged,
        solid=solid_cuft_per_cord,
    )
    if again is not None:
        woods = _with_visits(woods, again, dead | old, book, log_rule, trees, region=region)
    woods = growth_rates.hold(woods, today["seasons"].to_numpy(), region=region)
    return growth_rates.hold(_to_day(woods, book, log_rule, trees, as_of, region=region), region=region)


def _with_visits(
    woods: Woods,
    again: Again,
    failing: np.ndarray,
    book: pd.DataFrame,
    log_rule: str,
    trees: pd.DataFrame,
    *,
    region: Region,
) -> Woods:
    """The woods with what plots visited again tell of deaths and of basal area, what was cut between added to it.

    failing: kinds that are dead or break up (species, stand), whose deaths say nothing of others.
    """
    by = done.rates(trees, log_rule, woods.solid, region=region)
    moves = again.moves.set_index("stand_id")
    cut = cut_since(book, moves["since"], by)[0] - cut_since(book, moves["until"], by)[0]
    woods = growth_rates.died(woods, again.fates, failing | (woods.deaths > 0), region=region)
    return growth_rates.moved(woods, moves.assign(cut_cords=cut), region=region)


def losing(
    n: np.ndarray, basal: np.ndarray, judged: Judged, dead: np.ndarray, old: np.ndarray, *, region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """Share of live basal area that dies now, and that breaks up by its age, by stand; what stands apart in neither."""
    area = np.tensordot(judged.trees(n, "at risk"), basal_sqft(grow.classes(region=region)), axes=([1], [0]))
    at_risk = np.divide(area, basal, out=np.zeros_like(basal), where=basal > 0)
    whole = basal.sum(axis=0)
    share = np.divide(basal, whole, out=np.zeros_like(basal), where=whole > 0) * ~judged.apart
    now = np.where(dead, 1.0, at_risk)
    return (share * now).sum(axis=0), (share * old * (1.0 - now)).sum(axis=0)


def _ways(
    today: pd.DataFrame, basal: np.ndarray, species: Sequence[str], per_ac: np.ndarray, *, region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """How each stand grows, and its main species; basal: by species and stand."""
    whole = basal.sum(axis=0)
    names = np.array(list(species), dtype=object)
    main = np.where(whole > 0, names[basal.argmax(axis=0)], "")
    share = basal.max(axis=0) / np.where(whole > 0, whole, 1.0)
    could = (today["age_yr"].notna() & today["site_index_ft"].notna()).to_numpy() & np.isfinite(per_ac)
    main_share = chosen("main_share", region=region)
    growth = said_of(today["cover"], "growth", region)
    aspens = [name for name in names if set(region.species.members(name)) <= set(ASPENS)]
    aspen_share = basal[np.isin(names, aspens)].sum(axis=0) / np.where(whole > 0, whole, 1.0)
    young = (whole == 0) & (today["age_yr"] < chosen("young_aspen_yr", region=region)).to_numpy() & np.isfinite(per_ac)
    way = np.where(np.isfinite(per_ac), "stand table", "none").astype(object)
    way[(growth == "pine") & could & (share >= main_share) & np.isin(main, PINES)] = "pine"
    is_aspen = (growth == "aspen") & could & ((aspen_share >= main_share) | young)
    way[is_aspen] = "aspen"
    main = np.where(is_aspen & ~np.isin(main, aspens), "quaking aspen", main)
    return way, main


def _dying(trees: pd.DataFrame, ids: Sequence[str], species: Sequence[str], *, region: Region) -> np.ndarray:
    """Which species die off in which stand (species, stand): ash of which enough stands dead already."""
    ash = trees["species"].str.split().str[-1] == "ash"
    basal = trees.loc[ash, "basal_sqft_per_ac"]
    stand = trees.loc[ash, "stand_id"]
    whole = basal.groupby(stand).sum()
    dead = basal.where(~trees.loc[ash, "alive"], 0.0).groupby(stand).sum()
    ill = set(whole.index[dead / whole >= region.figure("defaults_marking", "dying_from_share")])
    return np.array([[float(s.split()[-1] == "ash" and i in ill) for i in ids] for s in species])


def _saplings(rows: pd.DataFrame, ids: Sequence[str], bare: bool, *, region: Region) -> np.ndarray:
    """Stems of 2.0 to 4.9 in by stand, where small trees were tallied at all; else missing, or 0 on bare ground."""
    small = rows[rows["class_in"] < growth_default("least_class_in", region=region)]
    if len(small):
        return small.groupby("stand_id")["trees_per_ac"].sum().reindex(list(ids)).fillna(0.0).to_numpy()
    return np.full(len(ids), 0.0 if bare else np.nan)


def _gravity(species: Sequence[str], *, region: Region) -> np.ndarray:
    region.species.read_rows(WOOD, species)
    known = region.species.rows(WOOD)["wood_sg"]
    return known.reindex(list(species)).fillna(region.figure("defaults_stand", "wood_sg")).to_numpy(dtype=float)


def _cords_now(n: np.ndarray, cords: np.ndarray, today: pd.DataFrame, solid: float, *, region: Region) -> np.ndarray:
    """Cords an acre on the day of its plots by the model of each stand."""
    out = np.tensordot(cords, n, axes=2)
    basal = basal_sqft(grow.classes(region=region)) @ n.sum(axis=0)
    age = (today["age_yr"] - today["seasons"]).to_numpy()
    for k in np.flatnonzero(today["way"].isin(EVEN_AGED)):
        row = today.iloc[k]
        out[k] = even_aged.merch_cords_per_ac(
            row["main"], basal[k], row["site_index_ft"], max(age[k], 1.0), solid, region=region
        )
    return out


def _to_day(
    woods: Woods, book: pd.DataFrame, log_rule: str, trees: pd.DataFrame, as_of: date, *, region: Region
) -> Woods:
    """The same woods after each stand's seasons, less what was cut since its plots."""
    today, n = woods.stands.copy(), woods.trees.copy()
    start = np.zeros((2, n.shape[2]))
    for seasons in np.unique(today["seasons"]):
        k = np.flatnonzero((today["seasons"] == seasons).to_numpy())
        end, n[:, :, k] = _advance(woods, k, int(seasons), region=region)
        start[:, k] = end
    by = done.rates(trees, log_rule, woods.solid, region=region)
    since = pd.Series(pd.to_datetime(today["measured_on"]).to_numpy(), index=today["stand_id"])
    taken, left_out = cut_since(book, since, by, as_of)
    today["cut_cords"] = taken.reindex(today["stand_id"]).fillna(0.0).to_numpy(dtype=float)
    none = (today["way"] == "none").to_numpy()
    today["basal"], today["cords"] = np.where(none, np.nan, start)
    today["stems"] = np.where(none, np.nan, n.sum(axis=(0, 1)))
    now = replace(woods, stands=today, trees=n, left_out=left_out)
    even = today["way"].isin(EVEN_AGED).to_numpy()
    first = run(now, 0, region=region).cords[0]  # what the other kinds of a stand of one age gained is cords too
    gained = np.divide(start[1], first, out=np.ones_like(first), where=even & (first > 0) & (start[1] > 0))
    now = replace(now, ratio=woods.ratio * gained)
    return less(now, today.set_index("stand_id")["cut_cords"])


def less(woods: Woods, cords: pd.Series) -> Woods:
    """The same woods less so many cords of some stands (by stand_id), in even shares of all their trees."""
    stands = woods.stands.copy()
    stock = (stands["cords"] * stands["acres"]).to_numpy(dtype=float)
    out = cords.reindex(stands["stand_id"]).fillna(0.0).to_numpy(dtype=float)
    keep = 1.0 - np.clip(out / np.where(stock > 0, stock, np.inf), 0.0, MOST_OUT_SHARE)
    trees = woods.trees * keep
    stands["basal"], stands["cords"] = stands["basal"] * keep, stands["cords"] * keep
    stands["stems"] = trees.sum(axis=(0, 1)) + 0.0 * stands["stems"]  # none stays none
    return replace(woods, stands=stands, trees=trees)


def _advance(woods: Woods, k: np.ndarray, seasons: int, *, region: Region) -> tuple[np.ndarray, np.ndarray]:
    """Basal area and cords [per ac] of the stands ``k`` after some seasons from their plots, and their trees."""
    back = woods.stands.assign(age_yr=woods.stands["age_yr"] - woods.stands["seasons"])
    then = replace(woods, stands=back)
    out = run(then, seasons, columns=k, region=region)
    grown = table_run(then, k, seasons, "mid", None, region=region).trees
    b = basal_sqft(grow.classes(region=region)) @ grown.sum(axis=0)
    even = back["way"].isin(EVEN_AGED).to_numpy()[k]
    scale = np.where(even & (b > 0), out.basal[-1] / np.where(b > 0, b, 1.0), 1.0)
    return np.vstack([out.basal[-1], out.cords[-1]]), grown * scale
