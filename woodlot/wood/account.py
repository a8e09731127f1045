"""The whole tree: everything a felled tree becomes, in cubic feet and pounds, and nothing twice.

account            parts of every tree and in all, checked against the whole tree on every run
scaling            cubic feet of each stem as drawn beside those of the volume equation
below_cuft         cubic feet of each stem as drawn up to a place
dry_pounds         dry pounds of stem wood, bark, limbs and leaves
limb_share         share of limb wood over a diameter (judged)
brush_pile_cuft, chips_cuyd    room that brush and chips take, low and high

Parts are wood without bark; bark of stem and limbs stands in a row of its own. Stem parts come from the cut list,
scaled tree by tree to the volume equation; limbs and leaves from the national weights. Nothing is added from another
system, which would divide a tree in another way.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import LEVEL, z_quantile
from woodlot.region import Region
from woodlot.trade import PIECES
from woodlot.tree.inputs import living
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.tree.westfall import stem_cuft_westfall_2024
from woodlot.units import BASAL_SQFT_PER_SQIN, CUFT_PER_CUYD
from woodlot.wood.cords import cords_from_cuft
from woodlot.wood.products import STEPS_TOPIC
from woodlot.wood.stick import Bucked, Stems
from woodlot.wood.worths import shares_left

__all__ = [
    "Account",
    "Left",
    "account",
    "below_cuft",
    "brush_pile_cuft",
    "chips_cuyd",
    "dry_pounds",
    "limb_share",
    "scaling",
]

MEASURES = ("cuft", "dry_lb", "green_lb", "air_dry_lb")
FIREWOOD = ("firewood from stems", "firewood from limbs")
BRUSH = "fine tops and brush"
CHIPPED = "stem wood for chips"


@dataclass(frozen=True)
class Left:
    """Brush with its bark, the pile it makes and the chips if it is chipped, firewood, and what whole trees weigh."""

    brush_solid_cuft: float
    brush_pile_cuft_low: float
    brush_pile_cuft_high: float
    chips_cuyd_low: float
    chips_cuyd_high: float
    stem_firewood_cords: float
    limb_firewood_cords: float
    green_lb: float


@dataclass(frozen=True)
class Account:
    """What trees become.

    parts: one row for each tree and part (stem, part, cuft, dry_lb, green_lb, air_dry_lb at 20 percent of all weight);
    totals: the same by part over all trees with low and high (kind "interval" or "assumptions") and cords of firewood;
    scaling: one row a tree; brush_solid_cuft: brush with its bark, and the room it takes loose and as chips.
    """

    parts: pd.DataFrame
    totals: pd.DataFrame
    scaling: pd.DataFrame
    brush_solid_cuft: float
    brush_pile_cuft: tuple[float, float]
    chips_cuyd: tuple[float, float]

    def left(self) -> Left:
        """What is left of the trees beside their pieces."""
        rows = self.totals.set_index("part")
        stem_cords, limb_cords = rows.loc[list(FIREWOOD), "cords"].tolist()
        green_lb = float(rows["green_lb"].sum())
        return Left(self.brush_solid_cuft, *self.brush_pile_cuft, *self.chips_cuyd, stem_cords, limb_cords, green_lb)


def limb_share(dbh_in: Any, species: Any, least_in: float, *, region: Region) -> np.ndarray:
    """Share of a tree's limb wood that is at least so thick, from 0 to 1; judged, good to half of itself.

    dbh_in (in), species: name or column, least_in: diameter over which a limb is firewood (in).

    Notes: the thickest limbs are taken as .45 of dbh in hardwoods and .15 in softwoods, and wood as spread evenly over
    diameters up to that: share = 1 - least / thickest.

    Example: hardwood of 12 in, 3-in limbs: 1 - 3 / 5.4 = 0.44. Source: chosen (defaults_stick.csv).
    """
    dbh = np.atleast_1d(np.asarray(dbh_in, dtype=float))
    hard = np.broadcast_to(np.asarray(region.species.is_hardwood(species), dtype=bool), dbh.shape)
    thick = dbh * np.where(
        hard, region.figure(STEPS_TOPIC, "limb_base_hardwood"), region.figure(STEPS_TOPIC, "limb_base_softwood")
    )
    return np.clip(1.0 - least_in / thick, 0.0, 1.0)


def brush_pile_cuft(solid_cuft: float, spread: float = 0.0, *, region: Region) -> tuple[float, float]:
    """Outside cubic feet of a pile of brush, compact to loose; spread: how far the solid cubic feet may be off.

    Example: 60 solid cubic feet pile up to 240 (compact) to 600 (loose). Source: packing from memory (hardy_1996).
    """
    tight, loose = region.figure(STEPS_TOPIC, "packing_tight"), region.figure(STEPS_TOPIC, "packing_loose")
    return solid_cuft * (1 - spread) / tight, solid_cuft * (1 + spread) / loose


def chips_cuyd(solid_cuft: float, spread: float = 0.0, *, region: Region) -> tuple[float, float]:
    """Cubic yards of chips from solid cubic feet, compacted to loose; spread as for ``brush_pile_cuft``.

    Example: a cord of 79 cubic feet makes 7.3 (compacted) to 8.4 cubic yards. Source: Briggs 1994 (briggs_1994).
    """
    tight, loose = region.figure(STEPS_TOPIC, "chips_tight"), region.figure(STEPS_TOPIC, "chips_loose")
    return solid_cuft * (1 - spread) * tight / CUFT_PER_CUYD, solid_cuft * (1 + spread) * loose / CUFT_PER_CUYD


def scaling(trees: pd.DataFrame, stems: Stems) -> pd.DataFrame:
    """Cubic feet above the stump of each stem as drawn and by the volume equation, and the factor between them.

    trees: result of ``tree.volume.volumes``; stems: the same trees. Returns taper_cuft, equation_cuft, scale.
    """
    drawn, wanted = _drawn(stems), (trees["wood_cuft"] - trees["stump_cuft"]).to_numpy(dtype=float)
    return pd.DataFrame({"taper_cuft": drawn, "equation_cuft": wanted, "scale": wanted / drawn}, index=trees.index)


def _drawn(stems: Stems) -> np.ndarray:
    """Cubic feet of each stem as drawn from stump to tip (to_last: to its last place)."""
    return below_cuft(stems, np.full(len(stems.last), np.iinfo(np.int32).max))


def below_cuft(stems: Stems, upto: np.ndarray) -> np.ndarray:
    """Cubic feet of each drawn stem from the stump up to a place (or the tip), a block of stems at a time."""
    f, out = stems.form, np.zeros(len(upto))
    tips = np.ceil((f.total_ft - stems.start_ft) / stems.step_ft).astype(np.int64)
    upto = np.minimum(upto, tips)
    for start in range(0, len(upto), 4096):
        rows = np.arange(start, min(start + 4096, len(upto)))
        whole = replace(stems, last=upto)
        area = whole.diameters(rows) ** 2
        area *= 0.5 * stems.step_ft * BASAL_SQFT_PER_SQIN
        last = upto[rows]
        out[rows] = 2.0 * area.sum(axis=0) - area[0] - area[last, np.arange(len(rows))]
        out[rows[last == 0]] = 0.0
    return out


def account(
    trees: pd.DataFrame,
    bucked: Bucked,
    division: str = "210",
    solid_cuft_per_cord: float = 79.0,
    limb_top_in: float | None = None,
    chipped: np.ndarray | None = None,
    *,
    region: Region,
) -> Account:
    """Everything that trees become when they are felled and cut up as ``bucked`` says.

    Parameters
    ----------
    trees
        Result of ``tree.volume.volumes`` for the trees that were bucked, in the same order.
    bucked
        Their cut lists.
    division
        Ecological division, for the weights.
    solid_cuft_per_cord
        Solid wood in a full cord, no bark.
    limb_top_in
        Limbs at least this thick are firewood (3 in).
    chipped
        Trees whose stem wood that is no piece goes to the chipper and not to the stove.
    region
        Whose figures are used.

    Returns
    -------
    Account. Dead trees have no leaves, and their green pounds are those of living wood: an upper limit. Raises
    InputError where the parts of a tree do not sum to the tree.

    Notes: stem wood above the stump = pieces + stove + tip, each as drawn times the tree's own scale; the share
    cull_pct (else what words say) of pieces and stove is rot, 0.54 (hardwoods) or 0.92 as heavy. Limbs divide into
    wood and bark by the species' share of bark.
    """
    if len(trees) != len(bucked.stems.last):
        raise InputError(f"{len(trees)} trees but {len(bucked.stems.last)} stems")
    trees = trees.reset_index(drop=True)
    scale = scaling(trees, bucked.stems)
    cuft = _stem_parts(trees, bucked, scale["scale"].to_numpy(), region=region)
    to_chips = np.zeros(len(trees), dtype=bool) if chipped is None else np.asarray(chipped, dtype=bool)
    cuft[CHIPPED] = np.where(to_chips, cuft[FIREWOOD[0]], 0.0)
    cuft[FIREWOOD[0]] = np.where(to_chips, 0.0, cuft[FIREWOOD[0]])
    lb = dry_pounds(trees, division, region=region)
    sg, bark_sg = (
        _property(trees, n, region=region) * region.figure("defaults_tree", "water_lb_per_cuft")
        for n in ("wood_sg", "bark_sg")
    )
    limbs = region.figure(STEPS_TOPIC, "limb_top_in") if limb_top_in is None else float(limb_top_in)
    share = limb_share(trees["dbh_in"], trees["species"], limbs, region=region)
    limb_wood = lb["branch_lb"] * (1.0 - lb["bark_part"]) / sg
    cuft["firewood from limbs"] = limb_wood * share
    cuft[BRUSH] = cuft.pop("tip") + limb_wood * (1.0 - share)
    cuft["bark"] = trees["bark_cuft"].to_numpy(dtype=float) + lb["branch_lb"] * lb["bark_part"] / bark_sg
    cuft["leaves"] = np.full(len(trees), np.nan)
    dry = _dry(trees, cuft, lb, limb_wood, share, region=region)
    parts = _long(trees, cuft, dry, region=region)
    _check(trees, parts, lb, cuft, dry, limb_wood, bark_sg)
    totals = _totals(parts, solid_cuft_per_cord, region=region)
    with_bark = float((cuft[BRUSH] * (1.0 + _property(trees, "bark_pct_of_wood_vol", region=region) / 100.0)).sum())
    spread = float(region.table("account_parts").set_index("part")["spread"][BRUSH])
    low, high = chips_cuyd(with_bark, spread, region=region)
    stems_low, stems_high = chips_cuyd(float(cuft[CHIPPED].sum()), region=region)
    pile = brush_pile_cuft(with_bark, spread, region=region)
    return Account(parts, totals, scale, with_bark, pile, (low + stems_low, high + stems_high))


def _property(trees: pd.DataFrame, name: str, *, region: Region) -> np.ndarray:
    return np.asarray(region.species.wood_property(trees["species"], name), dtype=float)


def _stem_parts(trees: pd.DataFrame, bucked: Bucked, scale: np.ndarray, *, region: Region) -> dict[str, np.ndarray]:
    """Stem wood by part, rot taken out of pieces and stove wood and told apart."""
    size = len(trees)
    made = bucked.pieces()
    out = {"stump": trees["stump_cuft"].to_numpy(dtype=float)}
    used = np.zeros(size)
    for kind in PIECES:
        here = made[made["kind"] == kind]
        drawn = np.bincount(here["stem"].to_numpy(dtype=int), here["taper_cuft"].to_numpy(dtype=float), minlength=size)
        out[kind] = drawn * scale
        used += drawn
    usable = below_cuft(bucked.stems, bucked.stems.last)
    out["firewood from stems"] = (usable - used) * scale
    out["tip"] = trees["wood_cuft"].to_numpy(dtype=float) - out["stump"] - usable * scale
    cull = 1.0 - shares_left(trees, region=region)[1]
    rot = np.zeros(size)
    for name in (*PIECES, "firewood from stems"):
        rot += out[name] * cull
        out[name] = out[name] * (1.0 - cull)
    out["rot and hollow"] = rot
    return out


def dry_pounds(trees: pd.DataFrame, division: str, *, region: Region) -> dict[str, np.ndarray]:
    """Dry pounds of stem wood, stem bark, limbs and leaves, and the share of bark in limbs."""
    dbh, height = trees["dbh_in"], trees["height_ft"]
    mass = dry_lb_westfall_2024(dbh, height, trees["species"], division, region=region)
    # a stem whose volume came from its merchantable height weighs what that volume weighs
    ratio = trees["wood_cuft"].to_numpy(dtype=float) / np.asarray(
        stem_cuft_westfall_2024(dbh, height, trees["species"], division, region=region)
    )
    bark = _property(trees, "bark_pct_of_wood_vol", region=region) / 100.0 * _property(trees, "bark_sg", region=region)
    return {
        "wood_lb": mass["wood_lb"].to_numpy() * ratio,
        "bark_lb": mass["bark_lb"].to_numpy() * ratio,
        "branch_lb": mass["branch_lb"].to_numpy(),
        "leaf_lb": np.where(living(trees), mass["foliage_lb"].to_numpy(), 0.0),
        "bark_part": bark / (bark + _property(trees, "wood_sg", region=region)),
    }


def _dry(trees, cuft, lb, limb_wood, share, *, region: Region) -> dict[str, np.ndarray]:
    """Dry pounds of each part."""
    per_cuft = lb["wood_lb"] / trees["wood_cuft"].to_numpy(dtype=float)
    hard = np.asarray(region.species.is_hardwood(trees["species"]), dtype=bool)
    lightness = np.where(
        hard, region.figure(STEPS_TOPIC, "cull_density_hardwood"), region.figure(STEPS_TOPIC, "cull_density_softwood")
    )
    branch_wood = lb["branch_lb"] * (1.0 - lb["bark_part"])
    tip = cuft[BRUSH] - limb_wood * (1.0 - share)
    out = {name: cuft[name] * per_cuft for name in ("stump", *PIECES, "firewood from stems", CHIPPED)}
    out["firewood from limbs"] = branch_wood * share
    out[BRUSH] = tip * per_cuft + branch_wood * (1.0 - share)
    out["rot and hollow"] = cuft["rot and hollow"] * per_cuft * lightness
    out["bark"] = lb["bark_lb"] + lb["branch_lb"] * lb["bark_part"]
    out["leaves"] = lb["leaf_lb"]
    return out


def _long(
    trees: pd.DataFrame, cuft: dict[str, np.ndarray], dry: dict[str, np.ndarray], *, region: Region
) -> pd.DataFrame:
    names = region.table("account_parts").sort_values("order")["part"].tolist()
    water = {"bark": _property(trees, "bark_moisture_dry_pct", region=region)}
    water["leaves"] = np.full(len(trees), region.figure(STEPS_TOPIC, "foliage_moisture_dry_pct"))
    wood = _property(trees, "green_moisture_dry_pct", region=region)
    air = 1.0 - region.figure(STEPS_TOPIC, "air_dry_wet_pct") / 100.0
    rows = [
        pd.DataFrame(
            {
                "stem": np.arange(len(trees)),
                "part": name,
                "cuft": cuft[name],
                "dry_lb": dry[name],
                "green_lb": dry[name] * (1.0 + water.get(name, wood) / 100.0),
                "air_dry_lb": dry[name] / air,
            }
        )
        for name in names
    ]
    return pd.concat(rows, ignore_index=True).sort_values("stem", kind="stable").reset_index(drop=True)


def _check(trees, parts, lb, cuft, dry, limb_wood, bark_sg) -> None:
    """Raise where the parts of a tree are not the tree, or one of them is less than nothing."""
    worst = parts[["cuft", "dry_lb"]].min().min()
    if worst < -1e-6:
        raise InputError(f"a part of a tree came out as {worst:g}: more was cut from it than it holds")
    sums = parts.groupby("stem")[["cuft", "dry_lb"]].sum()
    limb_bark = lb["branch_lb"] * lb["bark_part"] / bark_sg
    whole = (trees["wood_cuft"] + trees["bark_cuft"]).to_numpy(dtype=float) + limb_wood + limb_bark
    heavy = lb["wood_lb"] + lb["bark_lb"] + lb["branch_lb"] + lb["leaf_lb"]
    light = cuft["rot and hollow"] * lb["wood_lb"] / trees["wood_cuft"].to_numpy(dtype=float) - dry["rot and hollow"]
    for got, wanted, what in ((sums["cuft"], whole, "cubic feet"), (sums["dry_lb"], heavy - light, "pounds")):
        off = np.abs(got.to_numpy() - wanted) > 1e-6 * np.maximum(wanted, 1.0)
        if off.any() or np.isnan(wanted).any():
            at = int(np.flatnonzero(off | np.isnan(wanted))[0])
            raise InputError(
                f"the parts of tree {at + 1} sum to {got.iloc[at]:.4f} {what}, the whole tree is {wanted[at]:.4f}"
            )


def _totals(parts: pd.DataFrame, solid: float, *, region: Region) -> pd.DataFrame:
    rows = region.table("account_parts").set_index("part")
    sums = parts.groupby("part", sort=False)[list(MEASURES)].sum()
    out = sums.reindex(rows.sort_values("order").index).reset_index()
    out.loc[out["part"] == "leaves", "cuft"] = np.nan
    spread, kind = out["part"].map(rows["spread"]), out["part"].map(rows["kind"])
    sd = np.sqrt(np.log(1.0 + spread**2)) * z_quantile(LEVEL)
    out["low_share"] = np.where(kind == "interval", np.exp(-sd), 1.0 - spread)
    out["high_share"] = np.where(kind == "interval", np.exp(sd), 1.0 + spread)
    out["kind"] = kind
    out["cords"] = np.where(out["part"].isin(FIREWOOD), cords_from_cuft(out["cuft"], solid), np.nan)
    out["what"] = out["part"].map(rows["what"])
    return out
