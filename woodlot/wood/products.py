"""What stems are cut into: the list of products, what they are worth to the owner, and the choices it leaves a saw.

listed       products of a region (or of the family's own region beside their files)
priced, firewood_value   worth by the owner's own prices
preferred    worth by a ranking, without money
wished       the same from a family's wish, products or kinds
choices      products at their lengths as the cutting wants them
decay, lasts, post_years, in_ground   how a wood stands in the ground, and what asks for one that does
allowed      which tree may give which of them

A product is a row of products.csv: kind, woods, least top and largest butt (inches inside bark), lengths, trim, how
much rot and sweep it bears, how it is counted. Adding one is adding a row.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.trade import BOTH_WOODS, COUNTED_BY, UNITS
from woodlot.tree.inputs import column, living
from woodlot.units import BASAL_SQFT_PER_SQIN, IN_PER_FT
from woodlot.wood.cords import heat_mmbtu_per_cord
from woodlot.wood.cutting import Choice
from woodlot.wood.logs import log_bdft, quarter_kerf_factor

__all__ = [
    "STEPS_TOPIC",
    "PostYears",
    "allowed",
    "burns_hot",
    "choices",
    "decay",
    "firewood_value",
    "in_ground",
    "lasts",
    "lengths_of",
    "listed",
    "of_woods",
    "post_years",
    "preferred",
    "priced",
    "wished",
]

STEPS_TOPIC = "defaults_stick"
COUNTED = {unit: UNITS[unit].many for unit in COUNTED_BY}
#: Diameters (in) at which a log rule is compared with the square that stands in for it.
PROBES = np.array([4.0, 5.0, 6.5, 7.0, 9.0, 12.0, 16.0, 21.0, 30.0, 45.0, 70.0])
BASIS_FT = 80.0  # solid cubic feet of the cord by which a wood counts as hot (defaults_stick.csv)


def listed(region: Region) -> pd.DataFrame:
    """Products of a region that are on by default, with value 1 for each unit they are counted in.

    Returns products.csv with ``value`` (worth of a unit) and ``less`` (taken off for each piece). Where the family's
    own table has a column ``price`` (worth of a board foot, piece or cubic foot, in whatever they count), that is it;
    else the ranks are. Set ``value`` otherwise with ``priced`` or ``preferred``.
    """
    rows = region.table("products")
    out = rows[(rows["by_default"] == "yes") & (rows["product"] != "firewood")].reset_index(drop=True)
    if "price" in out and out["price"].notna().any():
        return priced(out, {str(k): float(v) for k, v in zip(out["product"], out["price"], strict=True) if pd.notna(v)})
    return preferred(out, out.sort_values("rank", kind="stable")["product"].tolist(), region=region)


def firewood_value(region: Region) -> float:
    """Worth of a cubic foot that goes to the stove: 1 beside ranked products; beside priced ones the price of the row
    named firewood (a cubic foot), 0 where there is none.
    """
    rows = region.table("products")
    if "price" not in rows or not rows["price"].notna().any():
        return 1.0
    return float(rows.loc[rows["product"] == "firewood", "price"].fillna(0.0).sum())


def priced(products: pd.DataFrame, prices: Mapping[str, float], handling: float = 0.0) -> pd.DataFrame:
    """Products with the owner's own worth for each board foot, piece or cubic foot; unnamed ones are left out.

    products: from ``listed``; prices: product -> worth of a unit of what it is counted in, as the owner counts;
    handling: what each piece costs to make. Raises InputError for a product that is not there.
    """
    _known(products, prices)
    out = products[products["product"].isin(list(prices))].copy()
    out["value"] = out["product"].map(dict(prices)).astype(float)
    out["less"] = float(handling)
    return out.reset_index(drop=True)


def preferred(products: pd.DataFrame, order: Sequence[str], *, region: Region) -> pd.DataFrame:
    """Products with worth by a ranking: a cubic foot of each is worth rank_ratio times one of the next.

    products: from ``listed``; order: products, the most wanted first; those of the same ``rank`` count alike; unnamed
    ones are left out. Wood for the stove is worth 1 a cubic foot. Raises InputError for a product that is not there.
    """
    _known(products, order)
    out = products[products["product"].isin(list(order))].copy()
    place = {name: at for at, name in enumerate(order)}
    out["_place"] = out["product"].map(place)
    tied = out.groupby("rank")["_place"].transform("min")
    level = tied.rank(method="dense", ascending=False)
    out["value"] = region.figure(STEPS_TOPIC, "rank_ratio") ** level
    out["counted_by"], out["less"] = "cuft", 0.0
    return out.sort_values("_place", kind="stable").drop(columns="_place").reset_index(drop=True)


def wished(products: pd.DataFrame, wish: Sequence[str], *, region: Region) -> pd.DataFrame:
    """Products in the order a family wishes, products or whole kinds ("pole", "sawlog"), unnamed ones after them.

    Raises InputError for a wish that is neither.
    """
    by_rank = products.sort_values("rank", kind="stable")
    order: list[str] = []
    for one in (named.strip().lower() for named in wish):
        mine = by_rank.loc[(by_rank["product"] == one) | (by_rank["kind"] == one), "product"].tolist()
        if not mine:
            names = dict.fromkeys([*by_rank["kind"], *by_rank["product"]])
            raise InputError(f"there is no product {one!r}; there are {', '.join(names)}")
        order += mine
    order = list(dict.fromkeys([*order, *by_rank["product"]]))
    # a wish unties what the ranks had alike
    return preferred(
        products.assign(rank=products["product"].map({name: at for at, name in enumerate(order)})), order, region=region
    )


def _known(products: pd.DataFrame, named: Mapping[str, float] | Sequence[str]) -> None:
    strange = [name for name in named if name not in set(products["product"])]
    if strange:
        raise InputError(f"there is no product {strange[0]!r}; there are {', '.join(products['product'])}")


def choices(
    products: pd.DataFrame,
    step_ft: float,
    log_rule: str = "international_quarter",
    whole_inches: bool = False,
    kerf_factor: float | None = None,
    *,
    region: Region,
) -> list[Choice]:
    """Each product at each of its lengths.

    products: as ``listed``; step_ft: feet between places; log_rule: for products counted in board feet; whole_inches:
    thin ends are read in whole inches, as a scale stick does; kerf_factor: of the International 1/4-inch rule. A piece
    takes the steps that its length, trim and one saw cut need.
    """
    out = []
    kerf = region.figure(STEPS_TOPIC, "kerf_in")
    for at, row in enumerate(products.to_dict("records")):
        for length in lengths_of(row["lengths_ft"]):
            need_in = length * IN_PER_FT + (float(row["trim_in"]) + kerf if float(row["trim_in"]) else 0.0)
            steps = int(np.ceil(need_in / IN_PER_FT / step_ft - 1e-9))
            butt = float(row["most_butt_in"])
            counting = row["counted_by"], length, steps * step_ft, log_rule, whole_inches, kerf_factor
            choice = Choice(
                at,
                length,
                steps,
                float(row["least_top_in"]),
                np.inf if np.isnan(butt) else butt,
                less=float(row.get("less", 0.0)),
                sawlog=row["kind"] == "sawlog",
                **_counting(*counting, region=region),
            )
            out.append(choice)
    if len(out) > 250:
        raise InputError(f"{len(out)} products and lengths are too many to cut by; 250 is the most")
    return out


def lengths_of(lengths_ft: Any) -> list[float]:
    """Lengths of a product's row in feet: ``7;8``, one number or many."""
    if isinstance(lengths_ft, str):
        return [float(part) for part in lengths_ft.split(";")]
    return [float(lengths_ft)] if np.ndim(lengths_ft) == 0 else [float(part) for part in lengths_ft]


def _counting(
    counted_by: str,
    length: float,
    taken_ft: float,
    rule: str,
    whole: bool,
    kerf_factor: float | None,
    *,
    region: Region,
) -> dict:
    if counted_by == "piece":
        return {"c": 1.0, "by_piece": True}
    if counted_by == "cuft":
        half = 0.5 * taken_ft * BASAL_SQFT_PER_SQIN
        return {"a": half, "e": half}
    if counted_by != "bdft":
        raise InputError(f"a product is counted by {', '.join(COUNTED)}, not {counted_by!r}")

    def feet(d: np.ndarray) -> np.ndarray:
        bdft = np.asarray(log_bdft(np.maximum(d, 0.01), length, rule, region=region))
        return bdft if kerf_factor is None else bdft * kerf_factor / quarter_kerf_factor(region=region)

    a, b, c = np.polyfit(PROBES[-3:], feet(PROBES[-3:]), 2)
    square = (a * PROBES + b) * PROBES + c
    if np.allclose(square, feet(PROBES), rtol=1e-9, atol=1e-7):
        return {"a": a, "b": b, "c": c, "whole_inches": whole}
    return {"count": feet, "whole_inches": whole}


def decay(species: Any, *, region: Region) -> pd.DataFrame:
    """Rows of decay_classes.csv for woods: that of the wood itself, else of its kind ("maple"), else empty.

    species: names; of a kind of several woods only what is true of all of them. Returns its columns: heartwood_class,
    lasting, years_low and years_high of an untreated post in the ground, years_seen.

    Source: class read in a federal table, years by their own mark (federal_heartwood_table).
    """
    rows = region.species.rows("decay_classes")
    names = pd.Series(np.asarray(species, dtype=object))
    used = names.where(names.isin(rows.index), names.str.split().str[-1])
    region.species.read_rows("decay_classes", used.dropna().unique())
    return rows.reindex(used).set_axis(names.index)


def lasts(species: Any, *, region: Region) -> np.ndarray:
    """Whether a wood lasts in the ground untreated: exceptional and resistant hearts, and tamarack."""
    return (decay(species, region=region)["lasting"] == "yes").to_numpy()


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


def allowed(trees: pd.DataFrame, products: pd.DataFrame, made: list[Choice], *, region: Region) -> np.ndarray:
    """Choices x trees: whether the wood, rot, sweep and life of a tree allow a product.

    trees: species and, where there are any, cull_pct, sweep_pct, alive. Rot or sweep that nobody judged counts as none.
    Dead and mostly rotten trees give no sawlogs, poles or posts; kinds that nobody saws give no sawlogs.
    """
    sawn = np.asarray(region.species.is_sawn(trees["species"]), dtype=bool)
    cull = column(trees, "cull_pct", 0.0)
    sweep = column(trees, "sweep_pct", 0.0)
    alive = living(trees)
    by_product = np.empty((len(products), len(trees)), dtype=bool)
    for at, row in enumerate(products.to_dict("records")):
        fits = (cull <= float(row["most_cull_pct"])) & (sweep <= float(row["most_sweep_pct"]))
        fits &= of_woods(trees["species"], str(row["woods"]), region=region)
        fits &= sawn | (str(row["kind"]) != "sawlog")
        by_product[at] = fits if str(row["dead"]) == "yes" else fits & alive
    return by_product[[c.product for c in made]] if made else np.empty((0, len(trees)), dtype=bool)
