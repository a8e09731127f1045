"""How one number was made: number and range, plots behind it, equations and their rows, the other method beside it.

explain, Why   sentences and tables
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isinf
from typing import Any, NamedTuple

import pandas as pd

from woodlot import covers
from woodlot.answers.cut import rule_answer, stands_said
from woodlot.answers.deer import hunt_answer
from woodlot.answers.house import heat_row
from woodlot.answers.plain_cells import number, records
from woodlot.answers.since_plan import first_figures, since_plan
from woodlot.answers.wishes import sugarbushes_answer
from woodlot.deer.food import browse
from woodlot.errors import InputError
from woodlot.estimate import Estimate, interval, scale
from woodlot.place.kept_plans import kept, last_before
from woodlot.plan.cautions import short_of_deer
from woodlot.plan.residuals import with_own
from woodlot.region import Read, Region, keys, reading, row_key, rows_read
from woodlot.say import since_plan as moved
from woodlot.say import why as say
from woodlot.say import woodpile
from woodlot.say.reasons import plain, said
from woodlot.say.wants import want as say_want
from woodlot.say.words import BEFORE_HUNT
from woodlot.season import Season
from woodlot.trade import NOT_READ
from woodlot.tree.volume import levels_westfall_2024
from woodlot.wood import tally
from woodlot.wood.builds import pieces_of, ready
from woodlot.wood.need_lines import line_of

__all__ = ["WHAT", "Why", "explain"]

#: What can be asked for, and what it is.
WHAT = {
    "cords": "sound standing cords",
    "bdft": "sound standing board feet",
    "basal": "live basal area an acre",
    "cut": "the most that may be cut in a year",
    "heat": "cords the house needs",
    "deer": "deer a square mile",
    "take": "does and bucks at most",
    "cover": "what the cover of a stand decides",
    "sugarbush": "taps and syrup of the sugarbush",
    "changed": "what moved since the last plan",
    "builds": "pieces of what the family builds",
}

CEILINGS = ("growth", "area", "meyer")
#: Basal area among the means of a cruise.
BASAL = "basal_sqft_per_ac"
#: What cover_types.csv decides.
DECIDED = ("letter", "growth", "guide", "evergreen", "shelter", "wet", "woods")
#: Keys of rows that are named of each table.
SHOWN_KEYS = 3
RATES = ["rate", "farmland_pct", "low", "value", "high", "unit", "seen"]


@dataclass(frozen=True)
class Why:
    """How a number came about: sentences in order, and tables (heading -> rows)."""

    what: str
    stand: str | None
    sentences: tuple[str, ...]
    tables: Mapping[str, Sequence[Mapping[str, Any]]]


class Made(NamedTuple):
    """Sentences and tables of one topic, without the figures it rests on."""

    sentences: list[str]
    tables: dict[str, list[dict[str, Any]]]


NOTHING = Made([say.NO_PLOTS], {})


def explain(season: Season, what: str, stand: str | None = None) -> Why:
    """How a number came about. ``what`` is one of WHAT; ``stand`` narrows it to one stand, where it can.

    Raises InputError for anything else.
    """
    if what not in WHAT:
        raise InputError(f"nothing is known by the name {what!r}; ask for {', '.join(WHAT)}")
    makers = {"cords": _wood, "bdft": _wood, "basal": _basal, "cut": _cut, "heat": _heat, "deer": _deer, "take": _take}
    makers |= {"cover": _cover, "sugarbush": _sugarbush, "changed": _changed, "builds": _builds}
    whole = [say.WHOLE[what]] if stand is not None and what in say.WHOLE else []
    of = None if whole else stand
    with reading() as reads:
        made = makers[what](season, what, of)
    # a number that is not there rests on nothing; what moved rests on hand-ins, and the numbers say on which figures
    read = [] if made == NOTHING or what == "changed" else _read_rows(season.place.region, reads)
    tables = made.tables | ({"Figures read for it": read} if read else {})
    return Why(what, of, (*whole, *made.sentences), tables)


def _read_rows(region: Region, reads: set[Read]) -> list[dict[str, Any]]:
    """What was looked up: a row for each table, source and mark, with how many of its rows and the first of them."""
    out = []
    for topic, rows in rows_read(region, reads).items():
        for (source, seen), some in rows.groupby(["source", "seen"], sort=False):
            first = some[list(keys(topic))].head(SHOWN_KEYS).astype(object).fillna("").to_dict("records")
            which = [row_key(topic, row) for row in first] if keys(topic) else []
            more = len(some) - len(which)
            named = ", ".join(filter(None, [*which, f"and {more} more" if which and more else ""]))
            out.append({"table": topic, "rows": len(some), "which": named, "source": source, "seen": seen})
    return out


def _wood(season: Season, what: str, stand: str | None) -> Made:
    stood, choice, region = season.standing, season.choice, season.place.region
    estimate = stood.totals[f"{what} by {'all' if stand is None else 'stand_id'}"].get(stand or "all")
    if estimate is None or estimate.value is None:
        return NOTHING
    trees = stood.trees if stand is None else stood.trees[stood.trees["stand_id"] == stand]
    live = trees[trees["alive"]]
    sentences = [
        " ".join(say.number(plain(estimate))),
        _plots(season, what, stand),
        *([] if stand is None else _helped(season, what, stand, estimate)),
        *map(said, stood.helped.said_of(None if stand is None else [stand]) if what == "cords" else ()),
        *_range(estimate, what == "cords", region=region),
        *_counted(season, stand),
        *_trees(live),
        *say.wood(what, float(choice("solid_cuft_per_cord")), str(choice("log_rule"))),
        *(woodpile.told(season.taught, float(choice("solid_cuft_per_cord"))) if what == "cords" else ()),
    ]
    return Made(sentences, {"Equations used": _equations(live, str(choice("division")), region=region)})


def _helped(season: Season, what: str, stand: str, estimate: Estimate) -> list[str]:
    """The range of a stand by its own plots alone beside the one that is told; nothing where there is none."""
    if estimate.low is None:
        return []
    row = records(season.standing.per_ac.query("what == @what and stand_id == @stand"))[0]
    alone = None
    if row["n"] > 1:
        value, shared = float(estimate.value or 0.0), dict(estimate.shared)
        words = {"n": row["n"], "level": estimate.level, "least_n": 2, "shared": shared}
        alone = plain(interval(value, estimate.unit, se=row["se"] * value / row["mean"], df=row["df"], **words))
    end = dict(estimate.why.facts).get("end") if estimate.why else None
    seen = what == "cords" and stand in season.standing.helped.stands.index
    return [say.helped(plain(estimate), alone, int(row["plots"]), end, seen)]


def _range(estimate: Estimate, piled: bool, *, region: Region) -> list[str]:
    """Where a range comes from, where there is one; piled: whether a stacked pile is spoken of."""
    parts = {name: plain(part) for name, part in tally.parts_of_range(estimate, region=region).items()}
    return [] if estimate.low is None else [say.range_parts(plain(estimate), parts, estimate.shared, piled)]


def _counted(season: Season, stand: str | None) -> list[str]:
    """What the plots are multiplied by, and what that leaves in doubt."""
    return [said(one) for one in season.standing.plot_times.told(None if stand is None else [stand])]


def _plots(season: Season, what: str, stand: str | None) -> str:
    rows = season.standing.per_ac[season.standing.per_ac["what"] == what]
    if stand is None:
        return say.plots_of_all(int(rows["plots"].sum()), len(rows), what == BASAL)
    acres = season.measured.stands.set_index("stand_id")["acres"]
    row = records(rows[rows["stand_id"] == stand])[0]
    return say.plots(row, None if what == BASAL else float(acres[stand]), stand in season.standing.helped.stands.index)


def _trees(live: pd.DataFrame) -> list[str]:
    both = live[live["other_cuft"].notna() & live["merch_cuft"].notna() & (live["merch_cuft"] > 0)]
    ours, other = (float((both[c] * both["trees_per_ac"]).sum()) for c in ("merch_cuft", "other_cuft"))
    measured = live[~live["counted_only"]]
    told = say.trees(
        len(measured),
        measured["height_from"].value_counts().to_dict(),
        int(measured["cull_judged"].sum()),
        (len(both), other / ours) if len(both) else None,
        {name: int(measured[name].sum()) for name in ("beyond_range", "doubtful")},
    )
    more = live.loc[live["counted_only"], "count"].sum()
    return [told[0], *say.only_counted(round(float(more))), *told[1:]]


def _equations(live: pd.DataFrame, division: str, *, region: Region) -> list[dict[str, Any]]:
    out = []
    for species, rows in live.groupby("species", sort=True):
        if len(of := region.species.scaled_as(str(species))) > 1:
            marks = {_mark("volume_westfall_2024", one, region=region) for one in of}
            mark = ", ".join(sorted(filter(None, marks)))
            out.append(
                {
                    "species": species,
                    "rows": int((~rows["counted_only"]).sum()),
                    "equation": say.mean_of(of),
                    "seen": mark,
                }
            )
            continue
        levels = levels_westfall_2024(str(species), division, region=region)
        wood = levels[levels["quantity"] == "wood_cuft"].iloc[0]
        topic = "group_westfall_2024" if wood["level"] == "group" else "volume_westfall_2024"
        equation = say.equation(wood["model"], wood["level"])
        mark = _mark(topic, str(species), region=region)
        out.append({"species": species, "rows": int((~rows["counted_only"]).sum()), "equation": equation, "seen": mark})
    return out


def _mark(topic: str, species: str, *, region: Region) -> str:
    """How the figures of a species were seen; "chosen" too where those of another kind stand in."""
    frame, listed = region.table(topic, rows=()), region.table("species", rows=())
    rows = frame[frame["species"] == species] if "species" in frame else frame
    own = set(listed.loc[listed["species"] == species, "seen"]) & set(NOT_READ)
    return ", ".join(sorted({*rows["seen"], *own}))


def _basal(season: Season, what: str, stand: str | None) -> Made:
    if stand is None:
        return _basal_all(season)
    estimate, table = season.standing.each_ac["basal_sqft"].get(stand), season.standing.table
    if estimate is None:
        return NOTHING
    sentences = [
        say.number(plain(estimate))[0],
        _plots(season, BASAL, stand),
        *_range(estimate, False, region=season.place.region),
        *_counted(season, stand),
        say.BASAL,
    ]
    return Made(sentences, {"By species and class": records(table[table["stand_id"] == stand])})


def _basal_all(season: Season) -> Made:
    """Basal area of the place: stands by their acres, those without plots left out; and stand by stand."""
    stood, stands = season.standing, season.measured.stands
    rows = stood.per_ac[stood.per_ac["what"] == BASAL]
    acres = stood.ground["acres_with_plots"]
    if not acres:
        return NOTHING
    among = stands.assign(like=stands["stand_id"].map(stood.like))
    shared = stood.plot_times.shared
    total = tally.totals(rows, among, "sq ft", "all", shared, season.level, region=season.place.region)["all"]
    plots = rows.set_index("stand_id")["plots"]
    each = []
    for stand, cover in zip(stands["stand_id"], stands["cover"], strict=True):
        one = plain(stood.each_ac["basal_sqft"].get(stand))
        row = {"stand": stand, "cover": cover, "plots": int(plots.get(stand, 0))}
        each.append(row | {"sq_ft_an_acre": one.value, "low": one.low, "high": one.high})
    mean = scale(total, 1.0 / acres, "sq ft an acre")
    sentences = [
        *say.number(plain(mean)),
        _plots(season, BASAL, None),
        *_range(mean, False, region=season.place.region),
        *_counted(season, None),
    ]
    return Made(sentences, {"Stands": each})


def _cut(season: Season, what: str, stand: str | None) -> Made:
    table, sentences = season.ceilings.table, []
    if stand is not None:
        table = table[table["stand_id"] == stand]
        sentences = [words for name, words in stands_said(season).items() if name == stand]
    rows = [
        {"stand": r["stand_id"], "way": r["way"], "keep": number(r["leave_sqft_per_ac"]), "seen": r["leave_seen"]}
        | {name: number(getattr(r[name], "value", None)) for name in CEILINGS}
        | {"at_most": float(r["ceiling_cords_per_yr"]) if r["growth"] is not None else None}
        for r in records(table)
    ]
    rule = rule_answer(season.ceilings)
    known = season.ceilings.whole["grows"].value is not None
    return Made(
        [
            *sentences,
            *say.ceilings(rule.parts, rule.why, season.ceilings.limit if known else None),
            *rule.asked,
            *rule.more,
        ],
        {"Stands, cords a year": rows},
    )


def _heat(season: Season, what: str, stand: str | None) -> Made:
    row = heat_row(season)
    known = ("", "", "") if row is None else (row.number, row.range, row.why)
    return Made(say.heat(*known, region=season.place.region), {})


def _deer(season: Season, what: str, stand: str | None) -> Made:
    deer, rates = hunt_answer(season), season.place.region.table("deer_defecation")
    springs = [{"spring": y.year, "plots": y.plots, "groups": y.groups, "deer": y.per_sqmi.value} for y in deer.years]
    by_source = records(rates[["groups_per_deer_per_day", "animals", "source", "seen"]])
    counts = [
        {"count": row.what, "alone": row.alone and row.alone.value, "without": row.without.value}
        for row in deer.evidence.rows
        if row.without is not None
    ]
    herd = records(season.place.region.table("deer_herd_rates")[RATES])
    return Made(
        [*say.deer(deer), _mind(season)],
        {"Springs": springs, "Deer a square mile by each count alone, and without it": counts,
         "Groups a deer a day, by source": by_source, "Rates of the herd": herd},
    )  # fmt: skip


def _take(season: Season, what: str, stand: str | None) -> Made:
    rates = records(season.place.region.table("deer_herd_rates")[RATES])
    return Made([*say.take(hunt_answer(season)), _mind(season)], {"Rates": rates})


def _mind(season: Season) -> str:
    """What to mind where deer are told."""
    return f"{BEFORE_HUNT}: {' '.join(short_of_deer(season.place.region).values())}"


def _sugarbush(season: Season, what: str, stand: str | None) -> Made:
    """Taps and syrup, stand by stand; the guide by which they are counted, and the sugar of each kind."""
    of = [one for one in sugarbushes_answer(season) if stand is None or one.stand_id == stand]
    if not of:
        return Made([say.NO_SUGARBUSH], {})
    region = season.place.region
    sentences = [f"Stand {one.stand_id}, {one.acres:.1f} acres: {' '.join(one.words)}" for one in of]
    tables = {
        "Taps by diameter": records(region.table("sugarbush_taps")),
        "Sugar of the sap": records(region.table("sugarbush_species")),
    }
    return Made([*sentences, *of[0].cautions], tables)


def _builds(season: Season, what: str, stand: str | None) -> Made:
    """What the family asked to build, and every list of pieces that is known: their own, then ready ones."""
    place, region = season.place, season.place.region
    rows: list[dict[str, Any]] = []
    for name in ready(place.builds, region=region):
        for piece in pieces_of(name, place.builds, region=region):
            line = line_of(piece, region=region)
            size = {
                "length_ft": line.lengths_ft[0],
                "top_in": line.top_in,
                "butt_in": None if isinf(line.butt_in) else line.butt_in,
            }
            kept = {"build": name, "piece": piece["piece"], "number": piece["number"], "product": line.product} | size
            more = {key: piece.get(key, "") for key in ("sawn_in", "straight", "best_of", "note")}
            earth = "yes" if line.in_ground else ""
            rows.append(kept | {"in_earth": earth, "wood": line.woods} | more | {"seen": piece.get("seen", "your own")})
    ones = {row["build"]: row["one_is"] for row in region.records("builds", "build").values()}
    asked = [say_want(want, season.day) for want in season.wants if want.build]
    return Made([*(asked or [say.NO_BUILD]), *say.builds(ones)], {"Pieces of one": rows})


def _cover(season: Season, what: str, stand: str | None) -> Made:
    """What each cover decides: its cut, its growth, its guide, food and shelter for deer, its ground."""
    region, stands = season.place.region, season.measured.stands
    stands = stands if stand is None else stands[stands["stand_id"] == stand]
    ids = {str(name): some["stand_id"].tolist() for name, some in stands.groupby("cover", sort=False)}
    names = list(ids)
    said = pd.DataFrame({"cover": names} | {word: covers.said_of(names, word, region) for word in DECIDED})
    rules, shapes = covers.rule_of(names, region), covers.structure_of(names, region)
    rule = region.table("cut_rules", rows=rules.tolist()).set_index("cover").reindex(rules).reset_index(drop=True)
    region.note("structures", [shape for shape in shapes if shape])
    food = browse(said.assign(acres=1.0, years=-1, kind="none"), region)
    said["stands"], said["rule"], said["structure"] = [len(ids[name]) for name in names], rules, shapes
    said["way"] = rule["way"]
    said["leave_sqft_per_ac"], said["rule_seen"] = with_own(said["cover"], rule, season.place.leave_sqft, region)
    ends = {"lb_per_ac": "food_lb_per_ac", "low": "food_low", "high": "food_high"}
    said[list(ends.values())] = food[list(ends)].where(~food["no_row"])
    said["food_seen"] = food["seen"].fillna("")
    rows = records(said.astype(object).where(said.notna(), None))
    why = rule["why"].fillna("").tolist()
    sentences = [say.cover(row, ids[row["cover"]], of) for row, of in zip(rows, why, strict=True)]
    return Made(sentences or [say.NO_STANDS], {"What each cover decides": rows} if rows else {})


def _changed(season: Season, what: str, stand: str | None) -> Made:
    last, _ = last_before(season.place.folder, season.day)
    if last is None:
        return Made([moved.NO_PLAN], {})
    told = since_plan(season, kept(season.place, season.level, first_figures(season)), last)
    rows = [
        {"number": f"{one.title}, {one.unit}", "then": one.then, "now": one.now, "moved": by.amount, "by": by.words}
        for one in told.numbers
        for by in one.by
    ]
    first = " ".join(moved.row(last.day, told.numbers, ())[:2])
    return Made([f"{first}.", *told.words, moved.HOW], {"What moved": rows} if rows else {})
