"""A tally of trees to be cleared or marked: what they become, which to fell for the house, what is left, what to mind.

felling      all of it as one plain mapping, for screen, --json and buck sheet
posts_words  how long the posts on the sheet stand in the ground
sheet_rows   the trees to fell, each with its cuts from the butt up
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import NoAnswer
from woodlot.land import parcels as land
from woodlot.place import Place
from woodlot.plan import cautions
from woodlot.region import Region
from woodlot.say.reasons import said
from woodlot.season import Season
from woodlot.tree.volume import volumes
from woodlot.units import SQFT_PER_AC
from woodlot.wood import account as accounts
from woodlot.wood import needs, products, stick
from woodlot.wood.need_lines import lines

__all__ = ["felling", "posts_words", "sheet_rows"]


def felling(
    season: Season,
    parcel: str | None = None,
    stand: str | None = None,
    whole: bool = False,
    prefer: Sequence[str] = (),
) -> dict[str, Any]:
    """What the trees of tally.csv become and which to fell for the house.

    parcel, stand: only these trees; whole: fell them all (ground to be cleared), cut for what the house needs first and
    then for the best use; prefer: products or kinds most wanted first, where the region's order is not the family's.
    Returns a plain mapping: trees, parts (in all), per_tree, pieces, needs (lines wanted, got, short), posts (on the
    sheet: wood, number, years in the ground), fell (positions), not_by_hand, left (brush and chips of the trees to
    fell), cautions, base. Raises NoAnswer without a tally.
    """
    place, choice = season.place, season.choice
    tally = _picked(place.tally, parcel, stand)
    rule, solid = str(choice("log_rule")), float(choice("solid_cuft_per_cord"))
    division, region = str(choice("division")), place.region
    trees = volumes(tally.reset_index(drop=True), division, region=region)
    list_ = products.listed(place.region)
    stove = 1.0 if prefer else products.firewood_value(place.region)
    list_ = products.wished(list_, prefer, region=season.place.region) if prefer else list_
    bucked = stick.buck(trees, list_, rule, firewood_value=stove, region=season.place.region)
    made, pieces = accounts.account(trees, bucked, division, solid, region=season.place.region), bucked.pieces()
    asked, chosen, chipped = lines(place.needs, region=season.place.region), None, set()
    if asked:
        chosen = needs.choose(
            trees,
            asked,
            division=division,
            region=region,
            log_rule=rule,
            solid_cuft_per_cord=solid,
            best_use=list_ if whole else None,
            stove_value=stove,
        )
        chipped = set(chosen.to_chips.index[chosen.to_chips])
    if chosen is not None and whole:
        made, pieces = needs.account_of(chosen, division, solid, region=season.place.region), chosen.pieces
    out: dict[str, Any] = {
        "name": place.name,
        "as_of": season.day,
        "base": {"solid_cuft_per_cord": solid, "log_rule": rule, "division": division},
        "trees": _trees(trees),
        "parts": _parts(made),
        "per_tree": _per_tree(made),
        "pieces": _plain(pieces),
        "worth_of_longest_first": _share(bucked),
        "scaling": {
            "taper_cuft": float(made.scaling["taper_cuft"].sum()),
            "equation_cuft": float(made.scaling["equation_cuft"].sum()),
        },
        "bdft": float(pieces["bdft"].sum()),
        "heights": trees["height_from"].value_counts().to_dict(),
        "cull_not_judged": int((~trees["cull_judged"]).sum()),
        "needs": [],
        "fell": [],
        "not_by_hand": [],
    }
    if chosen is None:
        out["fell"] = list(range(len(trees)))
        out["not_by_hand"] = _not_by_hand(trees, needs.hand_felling(trees))
        sheet, left = pieces.assign(line=-1), made
    else:
        out |= _chosen(chosen)
        sheet, left = (
            chosen.pieces,
            made if whole else needs.account_of(chosen, division, solid, region=season.place.region),
        )
    out["left"] = _left(left)
    out["posts"] = _posts(sheet, trees["species"], region=season.place.region)
    out["sheet"] = sheet_rows(
        trees,
        sheet,
        out["fell"],
        {row["position"]: row["why"] for row in out["not_by_hand"]},
        chipped,
        region=season.place.region,
    )
    out["cautions"] = _cautions(place, region, trees, out["fell"])
    return out


def _picked(tally: pd.DataFrame, parcel: str | None, stand: str | None) -> pd.DataFrame:
    """Trees of the tally in the parcel and stand asked for; NoAnswer says what the tally has instead."""
    if not len(tally):
        raise NoAnswer("no tree in tally.csv yet; write each tree to be cleared or marked in it, one row a tree")
    found = tally
    for what, wanted in (("parcel", parcel), ("stand", stand)):
        if wanted is None:
            continue
        ids = found[f"{what}_id"].astype("string")
        if not (ids == wanted).any():
            within = f" of parcel {parcel}" if what == "stand" and parcel is not None else ""
            raise NoAnswer(f"tally.csv has no tree{within} in {what} {wanted}; {_has(ids, what)}")
        found = found[ids == wanted]
    return found


def _has(ids: pd.Series, what: str) -> str:
    """Which parcels or stands the tally names and how many trees it has there."""
    counts = ids.dropna().value_counts(sort=False)
    told = [f"{n} tree{'s' * (int(n) != 1)} in {what} {name}" for name, n in counts.items()]
    bare = int(ids.isna().sum())
    told += [f"{bare} tree{'s' * (bare != 1)} without a {what}"] if bare else []
    return f"it has {', '.join(told[:12])}" + (f" and {len(told) - 12} more" if len(told) > 12 else "")


def _share(bucked: stick.Bucked) -> float | None:
    """What cutting the longest piece first would be worth, as share of the best cuts."""
    other, best = bucked.longest_first_value, float(bucked.value.sum())
    return None if other is None or best <= 0 else float(other.sum()) / best


def _plain(frame: pd.DataFrame) -> list[dict[str, Any]]:
    return [dict(row) for row in frame.to_dict("records")]  # type: ignore[arg-type]


def _trees(trees: pd.DataFrame) -> list[dict[str, Any]]:
    kept = ["tree", "parcel_id", "stand_id", "species", "dbh_in", "height_ft", "height_from", "wood_cuft", "alive"]
    return _plain(trees[[name for name in kept if name in trees]].assign(position=range(len(trees))))


def _parts(made: accounts.Account) -> list[dict[str, Any]]:
    rows = made.totals.copy()
    for name in ("cuft", "dry_lb", "green_lb", "air_dry_lb", "cords"):
        rows[f"{name}_low"], rows[f"{name}_high"] = rows[name] * rows["low_share"], rows[name] * rows["high_share"]
    return _plain(rows.drop(columns=["low_share", "high_share"]))


def _per_tree(made: accounts.Account) -> list[dict[str, Any]]:
    wide = made.parts.pivot_table(index="stem", columns="part", values="cuft", aggfunc="sum").reset_index()
    pounds = made.parts.groupby("stem")[["dry_lb", "green_lb", "air_dry_lb"]].sum()
    wide.columns = [name if name == "stem" else f"{name.replace(' ', '_')}_cuft" for name in wide.columns]
    return _plain(wide.rename(columns={"stem": "position"}).join(pounds, on="position"))


def _chosen(told: needs.Chosen) -> dict[str, Any]:
    return {
        "needs": [
            {"line": line.name, **row, "words": said(row.pop("why"))}
            for line, row in zip(told.asked, _plain(told.lines), strict=True)
        ],
        "fell": [int(at) for at in np.flatnonzero(told.trees["fell"])],
        "met": told.met,
        "standing_cuft": told.wood_cuft,
        "gap_pct": told.gap_pct,
        "proven": told.proven,
        "stopped": told.stopped,
        "not_by_hand": _not_by_hand(told.trees, told.trees["not_by_hand"]),
    }


def _not_by_hand(trees: pd.DataFrame, why: pd.Series) -> list[dict[str, Any]]:
    here = trees.assign(position=range(len(trees)), why=why.to_numpy())
    return _plain(here.loc[here["why"] != "", ["position", "tree", "species", "dbh_in", "why"]])


def _posts(sheet: pd.DataFrame, species: pd.Series, *, region: Region) -> list[dict[str, Any]]:
    return _plain(products.post_years(sheet, species, region=region).replace({np.nan: None}))


def posts_words(posts: list[dict[str, Any]], memory: str) -> str:
    """How long posts stand untreated in the ground, by their wood; "" without posts. memory: the mark of a figure from
    memory.
    """
    told = [
        f"{row['species']} {row['years_low']:g}"
        + (f" to {row['years_high']:g}" if row["years_high"] != row["years_low"] else "")
        + (f" {memory}" if row["years_seen"] == "memory" else "")
        if row["years_low"] is not None
        else f"{row['species']} not known"
        for row in posts
    ]
    return f"Years a post stands untreated in the ground, some far less: {', '.join(told)}." if told else ""


def _left(made: accounts.Account) -> dict[str, Any]:
    rows = made.totals.set_index("part")
    stove = rows.loc[list(accounts.FIREWOOD)]
    return {
        "brush_solid_cuft": made.brush_solid_cuft,
        "brush_pile_cuft_low": made.brush_pile_cuft[0],
        "brush_pile_cuft_high": made.brush_pile_cuft[1],
        "chips_cuyd_low": made.chips_cuyd[0],
        "chips_cuyd_high": made.chips_cuyd[1],
        "stem_firewood_cords": float(stove["cords"].iloc[0]),
        "limb_firewood_cords": float(stove["cords"].iloc[1]),
        "green_lb": float(rows["green_lb"].sum()),
    }


def sheet_rows(
    trees: pd.DataFrame,
    pieces: pd.DataFrame,
    fell: list[int],
    why: dict[int, str],
    chipped: set[int],
    *,
    region: Region,
) -> list[dict[str, Any]]:
    """The trees to fell with their pieces from the butt up: name, feet from the stump cut to each cut, small end.

    Trees that are not for hand felling carry the reason (why) and no pieces; rest: where the other stem wood goes.
    """
    start = region.figure("defaults_tree", "stump_ft")
    by_tree = dict(list(pieces.groupby("stem")))
    out = []
    for at, row in zip(fell, trees.iloc[fell].to_dict("records"), strict=True):
        mine = by_tree.get(at)
        cuts = [] if mine is None or at in why else _cuts(mine, start)
        out.append(
            {
                "tree": str(row.get("tree") if pd.notna(row.get("tree")) else at + 1),
                "stand_id": "" if pd.isna(row.get("stand_id")) else str(row.get("stand_id")),
                "species": row["species"],
                "dbh_in": float(row["dbh_in"]),
                "height_ft": float(row["height_ft"]),
                "why": why.get(at, ""),
                "cuts": cuts,
                "rest": "chips" if at in chipped else "firewood",
            }
        )
    return out


def _cuts(mine: pd.DataFrame, start: float) -> list[dict[str, Any]]:
    rows = _plain(mine.sort_values("from_ft")[["product", "length_ft", "from_ft", "to_ft", "small_end_in"]])
    return [{**row, "from_ft": row["from_ft"] - start, "to_ft": row["to_ft"] - start} for row in rows]


def _cautions(place: Place, region: Region, trees: pd.DataFrame, fell: list[int]) -> list[str]:
    """Cautions for the trees to fell, the snags among those that stay, and the ways of moved wood."""
    told = [cautions.words("felling", region)]
    dead = trees[~trees["alive"].fillna(True).astype(bool)]
    if len(dead):
        tall = float(dead["height_ft"].max())
        acres = np.pi * (2.0 * tall) ** 2 / SQFT_PER_AC
        told.append(cautions.words("snag", region, radius=f"{2.0 * tall:.0f}", acres=f"{acres:.1f}"))
    measured = land.measure(place.parcels, place.home).set_index("parcel_id")["miles_from_home"]
    here = trees.iloc[fell]
    for parcel, part in here.groupby(here["parcel_id"].fillna("").astype(str)):
        miles = float(measured.get(parcel, float("nan"))) if len(measured) else float("nan")
        told += cautions.of_stand(part.assign(alive=part["alive"].fillna(True)), False, miles, region).values()
    told += [cautions.words(key, region) for key in ("line", "dry_wood", "treated")]
    if any("hung" in str(mark).lower() for mark in trees.get("mark", pd.Series(dtype=object)).fillna("")):
        told.append(cautions.words("hung", region))
    return list(dict.fromkeys(told))
