"""How one number was made: number and range, plots behind it, equations and their rows, the other method beside it.

explain   (season, what, stand) -> sentences and tables
"""

from typing import Any

import pandas as pd

from woodlot.answers.deer import hunt_answer
from woodlot.answers.house import heat_row
from woodlot.answers.plain_cells import number
from woodlot.errors import InputError
from woodlot.estimate import scale
from woodlot.region import Read, Region, keys, reading, row_key, rows_read
from woodlot.say import house, reasons, wood, words
from woodlot.say.cut import stand_words
from woodlot.season import Season
from woodlot.trade import EIGHTH, NOT_READ
from woodlot.tree.volume import levels_westfall_2024
from woodlot.wood import tally

__all__ = ["WHAT", "explain"]

#: What can be asked for, and what it is.
WHAT = {
    "cords": "sound standing cords",
    "bdft": "sound standing board feet",
    "basal": "live basal area an acre",
    "cut": "the most that may be cut in a year",
    "heat": "cords the house needs",
    "deer": "deer a square mile",
    "take": "does and bucks at most",
}

#: What has no answer for a single stand, and what is said then.
WHOLE = {
    "heat": "The house burns wood of every stand: this is told for the whole place, not for one stand.",
    "deer": "Deer walk over every stand: they are told for the whole place, not for one stand.",
    "take": "Deer walk over every stand: the take is told for the whole place, not for one stand.",
}

CEILINGS = ("growth", "area", "meyer")
NO_PLOTS = "No number yet. Nobody has put a plot here. Three plots would give a first figure."
CITED = {
    "usu": "Utah State extension",
    "uky": "University of Kentucky",
    "ksu": "Kansas State extension",
    "osu": "Oregon State extension",
    "trade": "A trade list",
    "fpl": "Forest Products Laboratory",
    "woodlot": "Here",
}
#: Keys of rows that are named of each table.
SHOWN_KEYS = 3
RATES = ["case", "fawn_to_fall", "births_adult", "survival_fawn", "survival_adult", "seen"]


def explain(season: Season, what: str, stand: str | None = None) -> dict[str, Any]:
    """Sentences (in order) and tables (heading -> rows) that say how a number came about.

    ``what`` is one of WHAT; ``stand`` narrows cords, bdft, basal and cut to one stand. Raises InputError otherwise.
    """
    makers = {"cords": _wood, "bdft": _wood, "basal": _basal, "cut": _cut, "heat": _heat, "deer": _deer, "take": _take}
    if what not in makers:
        raise InputError(f"nothing is known by the name {what!r}; ask for {', '.join(WHAT)}")
    whole = stand is not None and what in WHOLE
    with reading() as reads:
        answer = makers[what](season, what, None if whole else stand)
    first = [WHOLE[what]] if whole else []
    read = {}
    if answer["sentences"] != [NO_PLOTS]:  # a number that is not there rests on nothing
        read = {"Figures read for it": _read_rows(season.place.region, reads)}
    return {
        "what": what,
        "stand": None if whole else stand,
        "sentences": [*first, *answer["sentences"]],
        "tables": answer["tables"] | {heading: rows for heading, rows in read.items() if rows},
    }


def _read_rows(region: Region, reads: set[Read]) -> list[dict[str, Any]]:
    """What was looked up: a row for each table, source and mark, with how many of its rows and the first of them."""
    out = []
    for topic, rows in rows_read(region, reads).items():
        for (source, seen), some in rows.groupby(["source", "seen"], sort=False):
            which = [row_key(topic, row) for row in some.head(SHOWN_KEYS).to_dict("records")] if keys(topic) else []
            more = len(some) - len(which)
            what = ", ".join(filter(None, [*which, f"and {more} more" if which and more else ""]))
            out.append({"table": topic, "rows": len(some), "which": what, "source": source, "seen": seen})
    return out


def _wood(season: Season, what: str, stand: str | None) -> dict[str, Any]:
    stood, choice = season.standing, season.choice
    by = "all" if stand is None else "stand_id"
    estimate = stood.totals[f"{what} by {by}"].get(stand or "all")
    if estimate is None or estimate.value is None:
        return {"sentences": [NO_PLOTS], "tables": {}}
    trees = stood.trees if stand is None else stood.trees[stood.trees["stand_id"] == stand]
    live = trees[trees["alive"]]
    told = [
        f"{_cap(words.answer(reasons.plain(estimate)))}."
        + (f" {_cap(reasons.said(estimate.why))}." if estimate.why and estimate.low is not None else "")
    ]
    told += _plots(season, what, stand)
    parts = tally.parts_of_range(estimate, region=season.place.region)
    if estimate.low is not None:
        told.append(
            f"Where the range comes from: the plots alone {words.range_words(reasons.plain(parts['plots']))}; what no "
            f"plot can mend ({_shared(estimate)}) {words.range_words(reasons.plain(parts['table']))}; both together "
            f"{words.range_words(reasons.plain(estimate))}"
            + (
                f"; against a stacked pile {words.range_words(reasons.plain(parts['stacked']))}."
                if what == "cords"
                else "."
            )
        )
    told += _trees(live)
    if what == "cords":
        told.append(
            f"Cords: sound wood without bark from a 1-foot stump to a 4-inch top, over "
            f"{float(choice('solid_cuft_per_cord')):g} solid cubic feet in a cord of 4 x 4 x 8 feet."
        )
    else:
        told.append(
            f"Board feet by the {words.rule(str(choice('log_rule')))}: Wiant 1986 after Mesavage and Girard, "
            "from diameter, 16-foot logs and form class (78, from memory, unless place.toml says otherwise)."
        )
        told += [wood.OF_EIGHTH] if choice("log_rule") == EIGHTH else []
    return {
        "sentences": told,
        "tables": {"Equations used": _equations(live, str(choice("division")), region=season.place.region)},
    }


def _cap(text: str) -> str:
    return text[:1].upper() + text[1:]


def _many(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _shared(estimate: Any) -> str:
    return ", ".join(f"{name} {100 * cv:.0f}%" for name, cv in estimate.shared) or "nothing"


def _plots(season: Season, what: str, stand: str | None) -> list[str]:
    column = {"basal": "basal_sqft_per_ac"}.get(what, what)
    rows = season.standing.per_ac[season.standing.per_ac["what"] == column]
    if stand is None:
        return [
            f"{_many(int(rows['plots'].sum()), 'plot')} in {_many(len(rows), 'stand')}; means by stand times working "
            "acres, then added."
        ]
    row = rows[rows["stand_id"] == stand].iloc[0]
    acres = float(season.measured.stands.set_index("stand_id").loc[stand, "acres"])
    se = (
        "no spread of its own"
        if pd.isna(row["se"])
        else f"spread of that mean (its standard deviation) {row['se']:.4g}, {int(row['n']) - 1} degrees of freedom"
    )
    times = "" if what == "basal" else f"; times {acres:.2f} working acres"
    return [
        f"{_many(int(row['plots']), 'plot')} ({int(row['plots_with'])} with any), mean "
        f"{row['mean']:.4g} an acre, {se}{times}."
    ]


def _trees(live: pd.DataFrame) -> list[str]:
    counts = live["height_from"].value_counts()
    heights = ", ".join(f"{counts.get(k, 0)} {k}" for k in ("measured", "fitted", "regional"))
    told = [
        f"{len(live)} live tally rows. Heights: {heights}. Rot was judged on {int(live['cull_judged'].sum())} of them."
    ]
    both = live[live["other_cuft"].notna() & live["merch_cuft"].notna() & (live["merch_cuft"] > 0)]
    if len(both):
        ours, other = (float((both[c] * both["trees_per_ac"]).sum()) for c in ("merch_cuft", "other_cuft"))
        told.append(
            f"The other method beside it (Beers 1964 from merchantable height, for {len(both)} rows): "
            f"{100 * (other / ours - 1):+.0f}% of merchantable wood."
        )
    for column, text in (
        ("beyond_range", "outside the sizes the equation was made from"),
        ("doubtful", "by an equation found doubtful at that size"),
    ):
        if live[column].any():
            told.append(f"{int(live[column].sum())} rows are {text}.")
    return told


def _equations(live: pd.DataFrame, division: str, *, region: Region) -> list[dict[str, Any]]:
    rows = []
    for species in sorted(live["species"].dropna().unique()):
        levels = levels_westfall_2024(species, division, region=region)
        wood = levels[levels["quantity"] == "wood_cuft"].iloc[0]
        here = live[live["species"] == species]
        rows.append(
            {
                "species": species,
                "rows": len(here),
                "equation": f"Westfall and others 2024, model {wood['model']}, {wood['level']}",
                "seen": _mark(
                    "volume_westfall_2024" if wood["level"] != "group" else "group_westfall_2024",
                    species,
                    region=region,
                ),
            }
        )
    return rows


def _mark(topic: str, species: str, *, region: Region) -> str:
    """How the figures of a species were seen; "chosen" too where those of another kind stand in."""
    frame, listed = region.table(topic, rows=()), region.table("species", rows=())
    rows = frame[frame["species"] == species] if "species" in frame else frame
    own = set(listed.loc[listed["species"] == species, "seen"]) & set(NOT_READ)
    return ", ".join(sorted({*rows["seen"], *own}))


def _basal(season: Season, what: str, stand: str | None) -> dict[str, Any]:
    if stand is None:
        return _basal_all(season)
    estimate = season.standing.each_ac["basal_sqft"].get(stand)
    if estimate is None:
        return {"sentences": [NO_PLOTS], "tables": {}}
    told = [f"{words.answer(reasons.plain(estimate))}.", *_plots(season, what, stand)]
    told.append(
        "A tree in the prism stands for the prism's factor; one on a fixed plot for its cross-section over the acres."
    )
    table = season.standing.table
    return {"sentences": told, "tables": {"By species and class": table[table["stand_id"] == stand].to_dict("records")}}


def _basal_all(season: Season) -> dict[str, Any]:
    """Basal area of the place: stands by their acres, those without plots left out; and stand by stand."""
    stood, stands = season.standing, season.measured.stands
    rows = stood.per_ac[stood.per_ac["what"] == "basal_sqft_per_ac"]
    acres = stood.ground["acres_with_plots"]
    if not acres:
        return {"sentences": [NO_PLOTS], "tables": {}}
    whole = scale(
        tally.totals(rows, stands, "sq ft", "all", {}, season.level, region=season.place.region)["all"],
        1.0 / acres,
        "sq ft an acre",
    )
    said = [f"{_cap(words.answer(reasons.plain(whole)))}."]
    said += [f"{_cap(reasons.said(whole.why))}."] if whole.why and whole.low is not None else []
    said.append(
        f"{_many(int(rows['plots'].sum()), 'plot')} in {_many(len(rows), 'stand')}; means by stand weighed by their "
        "working acres. For one stand, by species and size, add  --stand  with its name."
    )
    each = []
    for stand, cover in zip(stands["stand_id"], stands["cover"], strict=True):
        found = reasons.plain(stood.each_ac["basal_sqft"].get(stand))
        here = rows.loc[rows["stand_id"] == stand, "plots"]
        row = {"stand": stand, "cover": cover, "plots": int(here.sum())}
        row |= {"sq_ft_an_acre": found.value, "low": found.low, "high": found.high}
        each.append(row)
    return {"sentences": said, "tables": {"Stands": each}}


def _cut(season: Season, what: str, stand: str | None) -> dict[str, Any]:
    table = season.ceilings.table
    table = table if stand is None else table[table["stand_id"] == stand]
    rows = [
        {"stand": r["stand_id"], "way": r["way"], "keep": number(r["leave_sqft_per_ac"]), "seen": r["leave_seen"]}
        | {name: number(getattr(r[name], "value", None)) for name in CEILINGS}
        | {"at_most": float(r["ceiling_cords_per_yr"]) if r["growth"] is not None else None}
        for r in table.to_dict("records")
    ]
    said = []
    if stand is not None:
        grown = season.cutting.schedule.growing
        said = [stand_words(row) for row in grown[grown["stand_id"] == stand].to_dict("records")]
    whole = season.ceilings.whole
    said += [f"{_cap(name)}, all stands: {words.answer(reasons.plain(whole[name]))}." for name in CEILINGS]
    known = any(whole[name].value is not None for name in CEILINGS)
    most = f"{words.amount(season.ceilings.limit, 'cords')} a year" if known else "no number yet"
    said.append(
        f"What may be cut is the lower end of the smallest: {most}. "
        "Ranges are drawn from plots, growth and stacking together. A stand below what it should keep gives none."
    )
    return {"sentences": said, "tables": {"Stands, cords a year": rows}}


def _heat(season: Season, what: str, stand: str | None) -> dict[str, Any]:
    said = ["Not known. Write firewood_cord, or the house's loss and degree days, or last year's fuel, into [needs]."]
    if (row := heat_row(season)) is not None:
        said = [f"{row.number} ({row.range}). {row.why}"]
    first, *each = house.heat_tables_differ(region=season.place.region)
    who = [CITED.get(key, key) for key in season.place.region.table("heat_tables")["key"]]
    said += [first, *(f"{name}: {words_}" for name, words_ in zip(who, each, strict=True))]
    return {"sentences": said, "tables": {}}


def _deer(season: Season, what: str, stand: str | None) -> dict[str, Any]:
    deer = hunt_answer(season)
    rate = season.place.region.table("deer_defecation")[
        ["groups_per_deer_per_day", "animals", "source", "seen"]
    ].to_dict("records")
    years = [{"spring": y.year, "plots": y.plots, "groups": y.groups, "deer": y.per_sqmi.value} for y in deer.years]
    told = [
        deer.words,
        "Groups over plot acres, days since the leaves fell and groups a deer drops a day. Lines are the sample.",
    ]
    return {"sentences": told, "tables": {"Springs": years, "Groups a deer a day, by source": rate}}


def _take(season: Season, what: str, stand: str | None) -> dict[str, Any]:
    take = hunt_answer(season).take
    told = [take.does_words, take.bucks_words, take.neighbors_words]
    told.append(
        f"Share of does a year that holds the herd: {100 * take.hold_rate:.1f}% (growth {take.growth_rate:.3f})."
    )
    return {
        "sentences": [t for t in told if t],
        "tables": {"Rates": season.place.region.table("deer_herd_cases")[RATES].to_dict("records")},
    }
