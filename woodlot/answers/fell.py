"""What ``woodlot fell`` tells: what trees of a tally become, which to fell for the house, what is left, what to mind.

fell_answer   all of it, from the chapters
cut_up        a tally cut up, for its best use and for the house
fell_words    its sentences
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.answers import fell_types as types
from woodlot.answers.fell_sheet import records, rows
from woodlot.answers.fell_sheet import sheet as fell_sheet
from woodlot.answers.fell_types import FellAnswer, FellWords
from woodlot.answers.noted import sick_of
from woodlot.answers.this_winter import fits
from woodlot.answers.wants import wants_answer
from woodlot.errors import NoAnswer
from woodlot.land import parcels as land
from woodlot.plan import cautions
from woodlot.say import fell as say
from woodlot.say.reasons import said
from woodlot.season import Season
from woodlot.units import SQFT_PER_AC
from woodlot.wood import needs, products, stick
from woodlot.wood.account import Account, account
from woodlot.wood.worths import judged

__all__ = ["fell_answer", "fell_words"]


def fell_answer(season: Season, parcel: str | None = None, stand: str | None = None, whole: bool = False) -> FellAnswer:
    """What the trees of tally.csv become and which to fell for the house.

    parcel, stand: only these trees; whole: fell them all (ground to be cleared), cut for what the house needs first and
    then for the best use. Raises NoAnswer without a tally.
    """
    region = season.place.region
    base = types.FellBase(
        float(season.choice("solid_cuft_per_cord")), str(season.choice("log_rule")), str(season.choice("division"))
    )
    by: dict[str, Any] = {"division": base.division, "solid_cuft_per_cord": base.solid_cuft_per_cord, "region": region}
    tally = _picked(season.tally_left, parcel, stand)
    plain = len(tally) == len(season.tally_left) and not whole
    felled = season.felling if plain else season.felled(tally, whole)
    trees, chosen = felled.trees, felled.chosen
    bucked = stick.buck(trees, products.listed(region), base.log_rule, region=region)
    made, pieces = account(trees, bucked, **by), bucked.pieces()
    sheet, fell, of_sheet = felled.pieces, felled.fell, felled.account
    if of_sheet is None:  # nothing need fall: the sheet holds every tree, should one be wanted
        sheet, fell, of_sheet = pieces.assign(line=-1), np.arange(len(trees)), made
    elif trees["cleared"].all():
        made, pieces = of_sheet, sheet
    return FellAnswer(
        name=season.place.name,
        as_of=season.day.isoformat(),
        base=base,
        trees=rows(types.TallyTree, trees),
        parts=_parts(made),
        per_tree=_per_tree(made),
        pieces=rows(types.Piece, pieces),
        scaling=types.Scaling(float(made.scaling["taper_cuft"].sum()), float(made.scaling["equation_cuft"].sum())),
        bdft=float(pieces["bdft"].sum()),
        heights={str(how): int(n) for how, n in trees["height_from"].value_counts().items()},
        cull_not_judged=int((~trees["cull_judged"] & (judged(trees, region=region)["heat_left_share"] == 1)).sum()),
        wants=wants_answer(season),
        needs=() if chosen is None else _needs(chosen),
        cleared=tuple(np.flatnonzero(trees["cleared"]).tolist()),
        fell=tuple(fell.tolist()),
        not_by_hand=rows(types.NotByHand, trees[trees["why"] != ""]),
        **({} if chosen is None or not felled.asked else _search(chosen)),
        left=of_sheet.left(),
        posts=products.post_years(sheet, trees["species"], region=region),
        sheet=fell_sheet(trees.iloc[fell], sheet, [line.purpose for line in felled.asked], region=region),
        cautions=_cautions(season, trees, fell),
        fits=fits(season) if plain else "",
    )


def _picked(tally: pd.DataFrame, parcel: str | None, stand: str | None) -> pd.DataFrame:
    """Trees of the tally in the parcel and stand asked for; NoAnswer says what the tally has instead."""
    if not len(tally):
        raise NoAnswer("no tree in tally.csv yet; write each tree to be cleared or marked in it, one row a tree")
    for what, wanted in (("parcel", parcel), ("stand", stand)):
        if wanted is None:
            continue
        ids = tally[f"{what}_id"].astype("string")
        if not (ids == wanted).any():
            within = f" of parcel {parcel}" if what == "stand" and parcel is not None else ""
            raise NoAnswer(f"tally.csv has no tree{within} in {what} {wanted}; it has {_counts(ids, what)}")
        tally = tally[ids == wanted]
    return tally


def _counts(ids: pd.Series, what: str) -> str:
    """Which parcels or stands the tally names and how many trees it has there."""
    counts = [(int(n), f"in {what} {name}") for name, n in ids.dropna().value_counts(sort=False).items()]
    bare = int(ids.isna().sum())
    counts += [(bare, f"without a {what}")] if bare else []
    listed = [f"{n} tree{'s' * (n != 1)} {where}" for n, where in counts]
    return ", ".join(listed[:12]) + (f" and {len(listed) - 12} more" if len(listed) > 12 else "")


def _parts(made: Account) -> tuple[types.Part, ...]:
    parts = made.totals.copy()
    for name in ("cuft", "dry_lb", "green_lb", "air_dry_lb", "cords"):
        parts[f"{name}_low"] = parts[name] * parts["low_share"]
        parts[f"{name}_high"] = parts[name] * parts["high_share"]
    return rows(types.Part, parts)


def _per_tree(made: Account) -> tuple[dict[str, float], ...]:
    wide = made.parts.pivot_table(index="stem", columns="part", values="cuft", aggfunc="sum")
    wide.columns = [f"{name.replace(' ', '_')}_cuft" for name in wide.columns]
    pounds = made.parts.groupby("stem")[["dry_lb", "green_lb", "air_dry_lb"]].sum()
    return tuple(records(wide.join(pounds).rename_axis("position").reset_index()))


def _needs(chosen: needs.Chosen) -> tuple[types.Need, ...]:
    each = zip(chosen.asked, chosen.lines["why"], records(chosen.lines.drop(columns="why")), strict=True)
    return tuple(types.Need(line=line.name, purpose=line.purpose, words=said(why), **row) for line, why, row in each)


def _search(chosen: needs.Chosen) -> dict[str, Any]:
    names = ("met", "cost", "gap_pct", "proven", "stopped", "surplus_logs", "surplus_bdft", "burnt_bdft")
    heat = {"standing_cuft": chosen.wood_cuft, "heat_mmbtu": float(chosen.heat_mmbtu.sum())}
    return heat | {name: getattr(chosen, name) for name in names}


def _cautions(season: Season, trees: pd.DataFrame, fell: np.ndarray) -> tuple[str, ...]:
    """Cautions for the trees to fell, the snags among those that stay, and the ways of moved wood."""
    place, region = season.place, season.place.region
    out = [cautions.caution(key, region) for key in ("felling", "gear")]
    alive = trees["alive"].fillna(True).astype(bool)
    if not alive.all():
        radius_ft = 2.0 * float(trees.loc[~alive, "height_ft"].max())
        acres = np.pi * radius_ft**2 / SQFT_PER_AC
        out.append(cautions.caution("snag", region, radius=radius_ft, acres=acres))
    miles = land.measure(place.parcels, place.home).set_index("parcel_id")["miles_from_home"]
    here, noted = trees.assign(alive=alive).iloc[fell], sick_of(place)
    for parcel, part in here.groupby(here["parcel_id"].fillna("").astype(str)):
        sick = {kind for stand in part["stand_id"].dropna().astype(str).unique() for kind in noted.get(stand, ())}
        out += cautions.of_stand(part, False, float(miles.get(parcel, np.nan)), region, sick=sorted(sick))
    out += [cautions.caution(key, region) for key in ("line", "dry_wood", "treated")]
    if "mark" in trees and trees["mark"].fillna("").astype(str).str.lower().str.contains("hung").any():
        out.append(cautions.caution("hung", region))
    return tuple(dict.fromkeys(map(said, out)))


def fell_words(of: FellAnswer, whole: bool) -> FellWords:
    """The sentences of an answer; whole: every tree is felled."""
    away = [(tree.tree or str(tree.position + 1), tree.species, tree.why) for tree in of.not_by_hand]
    short = [(tree.tree, tree.species, tree.short) for tree in of.sheet if tree.short is not None and not tree.why]
    return FellWords(
        becomes=say.becomes(whole and bool(of.needs)),
        measured=say.measured(
            **vars(of.scaling), bdft=of.bdft, log_rule=of.base.log_rule, solid_cuft=of.base.solid_cuft_per_cord
        ),
        not_judged=say.not_judged(of.cull_not_judged),
        to_fell=_to_fell(of, whole),
        heat=say.heat(of.heat_mmbtu, of.left.stem_firewood_cords, of.left.limb_firewood_cords),
        surplus=say.surplus(of.surplus_logs or 0, of.surplus_bdft or 0.0),
        burnt=say.burnt(of.burnt_bdft or 0.0),
        short=say.short((name, species, say.cut_short(**vars(what))) for name, species, what in short),
        not_for_lines=say.NOT_FOR_LINES if whole and of.needs and away else "",
        posts=say.posts(of.posts),
        left=say.left(of.left) if of.fell else "",
        not_by_hand=say.not_by_hand(away),
    )


def _to_fell(of: FellAnswer, whole: bool) -> str:
    if of.standing_cuft is None or of.gap_pct is None:
        return say.cleared(len(of.cleared)) if of.cleared and not whole else say.NOTHING_ASKED
    if whole:
        return say.EVERY_TREE
    first = f"{say.cleared(len(of.cleared))} " if of.cleared else ""
    fell = len(of.fell) - len(of.cleared)
    return first + say.to_fell(
        fell, len(of.trees) - len(of.cleared), of.standing_cuft, of.gap_pct, bool(of.proven), bool(of.stopped)
    )
