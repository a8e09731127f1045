"""What stems are cut into: the list of products and the choices it leaves a saw; what a wood does in the ground.

listed       products of a region (or of the family's own region beside their files)
firewood_price   the owner's own price of a cubic foot for the stove
choices      products at their lengths as the cutting wants them
trim_in      what a piece of a kind is cut longer than it is sold or set
tops         least thin end of each choice in each tree
decay, lasts, post_years, in_ground   how a wood stands in the ground, and what asks for one that does
allowed      which tree may give which of them

A product is a row of products.csv: kind, woods, least top and largest butt (inches inside bark), lengths, trim (the
saw's cut lies inside it), how much rot and sweep it bears, how it is counted. Adding one is adding a row. What each is
worth: ``wood.worths``.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.trade import BOTH_WOODS, COUNTED_BY, UNITS
from woodlot.tree.inputs import column, living
from woodlot.units import IN_PER_FT
from woodlot.wood.cords import heat_mmbtu_per_cord
from woodlot.wood.cutting import Choice
from woodlot.wood.grades import defect_pct

__all__ = [
    "STEPS_TOPIC",
    "PostYears",
    "allowed",
    "burns_hot",
    "choices",
    "decay",
    "firewood_price",
    "in_ground",
    "lasts",
    "lengths_of",
    "listed",
    "of_woods",
    "post_years",
    "tops",
    "trim_in",
]

STEPS_TOPIC = "defaults_stick"
COUNTED = {unit: UNITS[unit].many for unit in COUNTED_BY}
BASIS_FT = 80.0  # solid cubic feet of the cord by which a wood counts as hot (defaults_stick.csv)


def listed(region: Region) -> pd.DataFrame:
    """Products of a region that are on by default and that nobody has to ask for, with ``value``.

    value: the owner's own worth of a unit of what it is counted in, where their table has a column ``price``: then
    products without a price are left out. Missing: by the index (``wood.worths``); then only sawlogs and what stands in
    the ground are worth more than their heat, so that poles and bolts are left to the lists that ask for them.
    """
    rows = region.table("products")
    out = rows[(rows["by_default"] == "yes") & (rows["product"] != "firewood")].reset_index(drop=True)
    if "price" in out and out["price"].notna().any():
        return out[out["price"].notna()].assign(value=out["price"].astype(float)).reset_index(drop=True)
    wanted = out["kind"].eq("sawlog") | out["woods"].eq("lasting")
    return out[wanted].assign(value=np.nan).reset_index(drop=True)


def firewood_price(region: Region) -> float | None:
    """The owner's own worth of a cubic foot that goes to the stove: the price of the row named firewood, 0 where others
    are priced and it is not; None where nothing is priced and the index counts.
    """
    rows = region.table("products")
    if "price" not in rows or not rows["price"].notna().any():
        return None
    return float(rows.loc[rows["product"] == "firewood", "price"].fillna(0.0).sum())


def trim_in(kind: str, *, region: Region) -> float:
    """Inches that a piece of a kind is cut longer than it is sold or set; the saw's cut lies inside them."""
    rows = region.table("products")
    return float(rows.loc[rows["kind"] == kind, "trim_in"].max())


def steps_of(length_ft: float, trim: float, step_ft: float) -> int:
    """Places that a piece takes with its trim."""
    return int(np.ceil((length_ft + trim / IN_PER_FT) / step_ft - 1e-9))


def choices(products: pd.DataFrame, step_ft: float, *, region: Region) -> list[Choice]:
    """Each product at each of its lengths. products: as ``listed``; step_ft: feet between places."""
    out = []
    share = region.figure(STEPS_TOPIC, "sawlog_top_of_dbh")
    for at, row in enumerate(products.to_dict("records")):
        if row["counted_by"] not in COUNTED:
            raise InputError(f"a product is counted by {', '.join(COUNTED)}, not {row['counted_by']!r}")
        sawn = row["kind"] == "sawlog"
        for length in lengths_of(row["lengths_ft"]):
            out.append(
                Choice(
                    at,
                    length,
                    steps_of(length, float(row["trim_in"]), step_ft),
                    float(row["least_top_in"]),
                    np.inf if np.isnan(row["most_butt_in"]) else float(row["most_butt_in"]),
                    str(row["kind"]),
                    str(row["counted_by"]),
                    float(row["value"]),
                    top_of_dbh=share if sawn else 0.0,
                    veneer=row["product"] == "veneer",
                )
            )
    return out


def tops(made: list[Choice], trees: pd.DataFrame, *, region: Region) -> np.ndarray:
    """Least thin end of each choice in each tree, choices x trees (in)."""
    dbh = trees["dbh_in"].to_numpy(dtype=float)
    hard = np.asarray(region.species.is_hardwood(trees["species"]), dtype=bool)
    out = np.empty((len(made), len(trees)))
    for row, c in zip(out, made, strict=True):
        row[:] = c.least_top_in if np.isnan(c.soft_top_in) else np.where(hard, c.least_top_in, c.soft_top_in)
        if c.top_of_dbh > 0:
            np.maximum(row, c.top_of_dbh * dbh, out=row)
    return out


def lengths_of(lengths_ft: Any) -> list[float]:
    """Lengths of a product's row in feet: ``7;8``, one number or many."""
    if isinstance(lengths_ft, str):
        return [float(part) for part in lengths_ft.split(";")]
    return [float(lengths_ft)] if np.ndim(lengths_ft) == 0 else [float(part) for part in lengths_ft]


def decay(species: Any, *, region: Region) -> pd.DataFrame:
    """Rows of decay_classes.csv for woods: that of the wood itself, else of its kind ("maple"), else empty.

    species: names; of a kind of several woods only what is true of all of them. Returns its columns: heartwood_class,
    lasting, years_low and years_high of an untreated post in the ground, years_seen.

    Source: class read in a federal table, years by their own mark (federal_heartwood_table).
    """
    rows = region.species.rows("decay_classes")
    codes, known = pd.factorize(np.asarray(species, dtype=object))
    used = [name if name in rows.index else name.split()[-1] for name in known]
    region.species.read_rows("decay_classes", used)
    return rows.reindex([*used, None]).iloc[codes].reset_index(drop=True)


def lasts(species: Any, *, region: Region) -> np.ndarray:
    """Whether a wood lasts in the ground untreated: exceptional and resistant hearts, and tamarack."""
    codes, known = pd.factorize(np.asarray(species, dtype=object))
    lasting = (decay(known, region=region)["lasting"] == "yes").to_numpy()
    return np.r_[lasting, False][codes]


@dataclass(frozen=True)
class PostYears:
    """Posts of a wood and how long they stand untreated in the ground; years_seen: the mark of the years."""

    species: str
    heartwood_class: str | None
    years_low: float | None
    years_high: float | None
    years_seen: str | None
    posts: int


def post_years(pieces: pd.DataFrame, species: pd.Series, *, region: Region) -> tuple[PostYears, ...]:
    """Posts among pieces by their wood, those that stand longest first.

    pieces: stem, kind, small_end_in; species: of each stem. A post thinner than 4 in at its top is taken as sapwood.
    """
    posts = pieces[pieces["kind"] == "post"]
    wood = species.to_numpy(dtype=object)[posts["stem"].to_numpy(dtype=int)]
    thin = posts["small_end_in"].to_numpy(dtype=float) < region.figure("defaults_needs", "lasting_top_in") - 1e-9
    known = decay(np.where(thin, "sapwood", wood), region=region)
    columns = ["species", "heartwood_class", "years_low", "years_high", "years_seen"]
    named = known.assign(species=np.where(thin, wood + ", mostly sapwood", wood))[columns]
    rows = named.groupby(columns, dropna=False).size().reset_index(name="posts")
    rows = rows.sort_values(["years_low", "species"], ascending=[False, True], kind="stable").astype(object)
    return tuple(PostYears(*row) for row in rows.where(rows.notna(), None).to_numpy())


def in_ground(kind: str, *, region: Region) -> bool:
    """Whether products of a kind (post ...) stand in the ground: their rows ask for a lasting wood."""
    rows = region.table("products")
    return set(rows.loc[rows["kind"] == kind, "woods"]) == {"lasting"}


def burns_hot(species: pd.Series, *, region: Region) -> np.ndarray:
    """Whether a cord of 80 solid cubic feet gives 22 million Btu gross or more (the limit is chosen)."""
    heat = np.asarray(heat_mmbtu_per_cord(species, 20.0, BASIS_FT, "gross", region=region))
    return np.round(heat, 1) >= region.figure(STEPS_TOPIC, "hot_mmbtu_per_cord")


def of_woods(species: pd.Series, woods: str, *, region: Region) -> np.ndarray:
    """Whether each species is of the woods a product asks for: any, hardwood, softwood, lasting, hot, or names.

    A kind of several species is of a name that all of them are of.
    """
    wanted = woods.strip().lower()
    if wanted in ("", "any"):
        return np.ones(len(species), dtype=bool)
    if wanted in BOTH_WOODS:
        hard = np.asarray(region.species.is_hardwood(species), dtype=bool)
        return hard if wanted == "hardwood" else ~hard
    if wanted == "lasting":
        return lasts(species, region=region)
    if wanted == "hot":
        return burns_hot(species, region=region)
    each = [region.species.within(species, region.species.name(name)) for name in wanted.split(";")]
    return np.logical_or.reduce(each)


def allowed(
    trees: pd.DataFrame, products: pd.DataFrame, made: list[Choice], judged: pd.DataFrame, *, region: Region
) -> np.ndarray:
    """Choices x trees: whether the wood, rot, sweep, words and life of a tree allow a product.

    trees: species and, where there are any, cull_pct, sweep_pct, alive. Rot or sweep that nobody judged counts as none,
    and so does rot whose place is written: no piece is cut across it. Dead and mostly rotten trees give no sawlogs,
    poles or posts; kinds that nobody saws give no sawlogs. judged: ``tree.quality.limits``.
    """
    cull, sweep = defect_pct(trees), column(trees, "sweep_pct", 0.0)
    alive = living(trees)
    by_product = np.empty((len(products), len(trees)), dtype=bool)
    for at, row in enumerate(products.to_dict("records")):
        fits = (cull <= float(row["most_cull_pct"])) & (sweep <= float(row["most_sweep_pct"]))
        fits &= of_woods(trees["species"], str(row["woods"]), region=region)
        by_product[at] = fits if str(row["dead"]) == "yes" else fits & alive
    out = by_product[[c.product for c in made]] if made else np.empty((0, len(trees)), dtype=bool)
    return out & by_words(made, trees, judged, region=region)


def by_words(made: list[Choice], trees: pd.DataFrame, judged: pd.DataFrame, *, region: Region) -> np.ndarray:
    """Choices x trees: whether the words of a tree allow a piece so long, and anybody saws its kind."""
    sawn = np.asarray(region.species.is_sawn(trees["species"]), dtype=bool)
    log, post = (judged[name].to_numpy(dtype=float) for name in ("longest_log_ft", "longest_post_ft"))
    poles = judged["poles"].to_numpy(dtype=bool)
    rows = {
        "sawlog": lambda c: sawn & (c.length_ft <= log),
        "post": lambda c: c.length_ft <= post,
        "pole": lambda c: poles,
    }
    every = np.ones(len(trees), dtype=bool)
    fits = [rows[c.kind](c) if c.kind in rows else every for c in made]
    return np.array(fits, dtype=bool).reshape(len(made), len(trees))
