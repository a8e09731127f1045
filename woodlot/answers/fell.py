"""What ``woodlot fell`` tells: what trees of a tally become, which to fell for the house, what is left, what to mind.

fell_answer   all of it, from the chapters
cut_up        a tally cut up, for its best use and for the house
fell_words    its sentences
"""

from dataclasses import dataclass, fields
from typing import Any, TypeVar

import numpy as np
import pandas as pd

from woodlot.answers import fell_types as types
from woodlot.answers.fell_types import FellAnswer, FellWords
from woodlot.errors import NoAnswer
from woodlot.land import parcels as land
from woodlot.plan import cautions
from woodlot.region import Region
from woodlot.say import fell as say
from woodlot.say.reasons import said
from woodlot.season import Season
from woodlot.tree.inputs import column
from woodlot.tree.quality import words_in
from woodlot.tree.volume import volumes
from woodlot.units import SQFT_PER_AC
from woodlot.wood import needs, products, stick
from woodlot.wood.account import Account, account
from woodlot.wood.need_lines import Line, hand_felling, lines
from woodlot.wood.stick import FORK
from woodlot.wood.worths import judged

__all__ = ["cut_up", "fell_answer", "fell_words"]

T = TypeVar("T")


@dataclass(frozen=True)
class _Tally:
    """A tally cut up: its trees, what all of them become at their best use, and for the house."""

    trees: pd.DataFrame
    made: Account
    pieces: pd.DataFrame
    chosen: needs.Chosen | None


def cut_up(tally: pd.DataFrame, asked: list[Line], base: types.FellBase, whole: bool, region: Region) -> _Tally:
    """Trees of a tally cut for their best use, and for the lines of a list if there are any."""
    by: dict[str, Any] = {"division": base.division, "solid_cuft_per_cord": base.solid_cuft_per_cord, "region": region}
    trees = volumes(tally.reset_index(drop=True), base.division, region=region)
    bucked = stick.buck(trees, products.listed(region), base.log_rule, region=region)
    chosen = needs.choose(trees, asked, log_rule=base.log_rule, whole=whole, **by) if asked else None
    return _Tally(trees, account(trees, bucked, **by), bucked.pieces(), chosen)


def fell_answer(season: Season, parcel: str | None = None, stand: str | None = None, whole: bool = False) -> FellAnswer:
    """What the trees of tally.csv become and which to fell for the house.

    parcel, stand: only these trees; whole: fell them all (ground to be cleared), cut for what the house needs first and
    then for the best use. Raises NoAnswer without a tally.
    """
    place, region = season.place, season.place.region
    base = types.FellBase(
        float(season.choice("solid_cuft_per_cord")), str(season.choice("log_rule")), str(season.choice("division"))
    )
    told = cut_up(_picked(place.tally, parcel, stand), lines(place.needs, region=region), base, whole, region)
    trees, made, pieces, chosen = told.trees, told.made, told.pieces, told.chosen
    felled, sheet, fell = made, pieces.assign(line=-1), np.arange(len(trees))
    chipped = np.zeros(len(trees), dtype=bool)
    if chosen is not None:
        felled = needs.account_of(chosen, base.division, base.solid_cuft_per_cord, region=region)
        sheet, fell = chosen.pieces, np.flatnonzero(chosen.trees["fell"])
        made, pieces = (felled, sheet) if whole else (made, pieces)
        chipped = chosen.to_chips.reindex(trees.index, fill_value=False).to_numpy()
    trees = trees.assign(position=range(len(trees)), why=hand_felling(trees, region=region), chipped=chipped)
    purposes = [] if chosen is None else [line.purpose for line in chosen.asked]
    return FellAnswer(
        name=place.name,
        as_of=season.day.isoformat(),
        base=base,
        trees=_rows(types.TallyTree, trees),
        parts=_parts(made),
        per_tree=_per_tree(made),
        pieces=_rows(types.Piece, pieces),
        scaling=types.Scaling(float(made.scaling["taper_cuft"].sum()), float(made.scaling["equation_cuft"].sum())),
        bdft=float(pieces["bdft"].sum()),
        heights={str(how): int(n) for how, n in trees["height_from"].value_counts().items()},
        cull_not_judged=int((~trees["cull_judged"]).sum()),
        needs=() if chosen is None else _needs(chosen),
        fell=tuple(fell.tolist()),
        not_by_hand=_rows(types.NotByHand, trees[trees["why"] != ""]),
        **({} if chosen is None else _search(chosen)),
        left=felled.left(),
        posts=products.post_years(sheet, trees["species"], region=region),
        sheet=_sheet(trees.iloc[fell], sheet, purposes, region),
        cautions=_cautions(season, trees, fell),
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


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows of a table, what is missing as None."""
    return frame.astype(object).where(frame.notna(), None).to_dict("records")  # type: ignore[return-value]


def _rows(kind: type[T], frame: pd.DataFrame) -> tuple[T, ...]:
    """The rows of a table as answers of a kind, from the columns that are its fields."""
    names = [f.name for f in fields(kind) if f.name in frame]  # type: ignore[arg-type]
    return tuple(kind(**row) for row in _records(frame[names]))


def _parts(made: Account) -> tuple[types.Part, ...]:
    rows = made.totals.copy()
    for name in ("cuft", "dry_lb", "green_lb", "air_dry_lb", "cords"):
        rows[f"{name}_low"], rows[f"{name}_high"] = rows[name] * rows["low_share"], rows[name] * rows["high_share"]
    return _rows(types.Part, rows)


def _per_tree(made: Account) -> tuple[dict[str, float], ...]:
    wide = made.parts.pivot_table(index="stem", columns="part", values="cuft", aggfunc="sum")
    wide.columns = [f"{name.replace(' ', '_')}_cuft" for name in wide.columns]
    pounds = made.parts.groupby("stem")[["dry_lb", "green_lb", "air_dry_lb"]].sum()
    return tuple(_records(wide.join(pounds).rename_axis("position").reset_index()))


def _needs(chosen: needs.Chosen) -> tuple[types.Need, ...]:
    each = zip(chosen.asked, chosen.lines["why"], _records(chosen.lines.drop(columns="why")), strict=True)
    return tuple(types.Need(line=line.name, purpose=line.purpose, words=said(why), **row) for line, why, row in each)


def _search(chosen: needs.Chosen) -> dict[str, Any]:
    names = ("met", "cost", "gap_pct", "proven", "stopped", "surplus_logs", "surplus_bdft", "burnt_bdft")
    heat = {"standing_cuft": chosen.wood_cuft, "heat_mmbtu": float(chosen.heat_mmbtu.sum())}
    return heat | {name: getattr(chosen, name) for name in names}


def _sheet(
    trees: pd.DataFrame, pieces: pd.DataFrame, purposes: list[str], region: Region
) -> tuple[types.SheetTree, ...]:
    """The trees to fell with their pieces from the butt up, feet from the stump cut."""
    stump_ft = region.figure("defaults_tree", "stump_ft")
    rows = pieces.sort_values("from_ft")
    rows = rows.assign(
        from_ft=rows["from_ft"] - stump_ft,
        to_ft=rows["to_ft"] - stump_ft,
        asked=rows["line"] >= 0,
        purpose=[purposes[at] if at >= 0 else "" for at in rows["line"]],
    )
    cuts = {stem: _rows(types.Cut, mine) for stem, mine in rows.groupby("stem")}
    short = _cut_short(trees, region)
    return tuple(
        types.SheetTree(
            tree=str(row["tree"] or row["position"] + 1),
            stand_id=row["stand_id"] or "",
            species=row["species"],
            dbh_in=row["dbh_in"],
            height_ft=row["height_ft"],
            why=row["why"],
            cuts=() if row["why"] else cuts.get(row["position"], ()),
            rest="chips" if row["chipped"] else "firewood",
            short=short.get(row["position"]),
        )
        for row in _records(trees)
    )


def _cut_short(trees: pd.DataFrame, region: Region) -> dict[int, types.CutShort]:
    """By position, what words or a defect with its place left of the pieces of a tree."""
    said_ = judged(trees, region=region)
    names = ["longest_log_ft", "best_grade", "longest_post_ft", "poles", "first_ft_to_stove", "scale_left_share"]
    bare = judged(trees.iloc[:1].assign(quality=""), region=region)[names]
    less = (said_[names].to_numpy(dtype=float) != bare.to_numpy(dtype=float)).any(axis=1) if len(trees) else []
    rows = said_[[*names, "words"]].assign(
        position=trees["position"],
        fork=[FORK in words_in(words) for words in said_["words"]],
        **{f"{end}_ft": column(trees, f"defect_{end}_ft") for end in ("from", "to")},
    )
    rows["best_grade"] = rows["best_grade"].astype(int)
    some = rows[np.asarray(less, dtype=bool) | rows["fork"] | rows["from_ft"].notna()]
    return {int(row.pop("position")): types.CutShort(**row) for row in _records(some)}


def _cautions(season: Season, trees: pd.DataFrame, fell: np.ndarray) -> tuple[str, ...]:
    """Cautions for the trees to fell, the snags among those that stay, and the ways of moved wood."""
    place, region = season.place, season.place.region
    out = [cautions.caution("felling", region)]
    alive = trees["alive"].fillna(True).astype(bool)
    if not alive.all():
        radius_ft = 2.0 * float(trees.loc[~alive, "height_ft"].max())
        acres = np.pi * radius_ft**2 / SQFT_PER_AC
        out.append(cautions.caution("snag", region, radius=radius_ft, acres=acres))
    miles = land.measure(place.parcels, place.home).set_index("parcel_id")["miles_from_home"]
    here = trees.assign(alive=alive).iloc[fell]
    for parcel, part in here.groupby(here["parcel_id"].fillna("").astype(str)):
        out += cautions.of_stand(part, False, float(miles.get(parcel, np.nan)), region)
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
        left=say.left(of.left),
        not_by_hand=say.not_by_hand(away),
    )


def _to_fell(of: FellAnswer, whole: bool) -> str:
    if of.standing_cuft is None or of.gap_pct is None:
        return say.NOTHING_ASKED
    if whole:
        return say.EVERY_TREE
    return say.to_fell(
        len(of.fell), len(of.trees), of.standing_cuft, of.gap_pct, proven=bool(of.proven), stopped=bool(of.stopped)
    )
