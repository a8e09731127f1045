"""The land in words: how parcels meet, where lines do not fit, ways, what of a stand can be worked, what rasters show.

acres_behind   how many acres stand behind the numbers
contacts       how parcels meet
blocks         whether they join
problems       where the lines of stands and parcels do not fit
fit            that they do
near_lines     lines that nearly agree: likely one traced twice, or ground between
drawn_as_one   what mend did; none_near: that there was nothing to do
distance       the way from a stand to a road, a landing, water or home
workable       what of a stand is left out of the work
read_counts    what was read of a place, counted
raster_fault   why a raster cannot be used, and what to do
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from woodlot.errors import Fault, InputError
from woodlot.say.words import capital, plural
from woodlot.units import FT_PER_MI

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "ACRES_BY_MAP",
    "NO_CONTACT",
    "WORDS",
    "WORKING_ACRES",
    "acres_behind",
    "blocks",
    "contacts",
    "distance",
    "drawn_as_one",
    "fit",
    "near_lines",
    "near_said",
    "none_near",
    "problems",
    "raster_fault",
    "read_counts",
    "workable",
]

#: Acres under this are not spoken of.
LEAST_AC = 0.05

ACRES_BY_MAP = "Acres are measured on the map; the deed's are kept beside them."
WORKING_ACRES = "Acres without home ground and water, beside acres on the map."
NO_CONTACT = "No two parcels touch."


def acres_behind(acres: float, acres_with_plots: float, acres_without: float, acres_no_parcel: float = 0.0) -> str:
    """How many acres stand behind the numbers."""
    if acres < LEAST_AC:
        return "No stand is drawn yet, so no wood can be counted."
    lost = ""
    if acres_no_parcel >= LEAST_AC:
        part = "All" if acres - acres_no_parcel < LEAST_AC else f"{acres_no_parcel:,.1f}"
        lost = f" {part} of the {acres:,.1f} lie outside every parcel and stand in no parcel's number."
    if acres_with_plots < LEAST_AC:
        return f"None of the {acres:,.1f} acres has a plot yet.{lost}"
    if acres_without < LEAST_AC:
        return f"All {acres:,.1f} acres have plots.{lost}"
    have = f"{acres_with_plots:,.1f} of {acres:,.1f} acres have plots"
    return f"{have}; {acres_without:,.1f} have none and are left out.{lost}"


def contacts(rows: "pd.DataFrame", parcels: "pd.DataFrame") -> list[str]:
    """How parcels meet, one sentence a row of ``land.parcels.contacts``, by the names of the parcels."""
    ids = parcels["parcel_id"].astype(str)
    name = dict(zip(ids, parcels["name"].fillna(ids) if "name" in parcels else ids, strict=True))
    return [_contact(row, name[row["parcel_a"]], name[row["parcel_b"]]) for row in rows.to_dict("records")]


def _contact(row: Mapping[Any, Any], a: str, b: str) -> str:
    if row["kind"] == "edge":
        return f"{a} and {b} share {row['shared_ft']:,.0f} feet of line."
    where = "one corner" if row["places"] <= 1 else f"{row['places']} corners"
    return f"{a} touches {b} at {where} only; owning both gives no right to cross between."


def blocks(count: int) -> str:
    """Whether parcels join."""
    return "All in one block." if count == 1 else f"{count} blocks that do not join."


WHOLE = "All {acres:.1f} acres of stand {a} lie outside every parcel"
MEND = "Mend its outline, or draw its parcel."
#: Kind of a fault of lines -> its sentence; of a stand outside the parcels by how much of it.
PROBLEMS = {
    "stands overlap": "Stands {a} and {b} overlap by {acres:.1f} acres; that ground counts once, half for each.",
    "parcels overlap": (
        "Parcels {a} and {b} overlap by {acres:.1f} acres; that ground counts once, half for each. Find out whose it "
        "is."
    ),
    "outside parcels": "{acres:.1f} acres of stand {a} lie outside every parcel.",
    "outside parcels, whole": f"{WHOLE}, so no parcel's number holds them. {MEND}",
    "outside parcels, whole, named": f"{WHOLE}, also the one it names, so no parcel's number holds them. {MEND}",
    "in another parcel": (
        "{acres:.1f} acres of stand {a} lie in parcel {b}, which is not its own; split the stand at the line."
    ),
    "in another parcel, whole": (
        "Stand {a} does not lie in the parcel it names; {acres:.1f} acres of it lie in parcel {b}, and it is counted "
        "there. Write {b} in its parcel_id, or mend its outline."
    ),
    "in no stand": "{acres:.1f} acres of parcel {a} are in no stand, and nothing is counted there.",
}


def problems(rows: "pd.DataFrame") -> list[str]:
    """Where the lines do not fit, one sentence a row of ``stand.layout.problems``."""
    return [PROBLEMS[row["kind"] + row["how_much"]].format_map(row) for row in rows.to_dict("records")]


def fit(tolerance_ac: float) -> str:
    """That they do."""
    return f"Stands and parcels fit together within {tolerance_ac:g} acres."


def near_lines(rows: "pd.DataFrame", parcels: "pd.DataFrame", folder: str) -> list[str]:
    """Lines that nearly agree, one sentence a row of ``land.near_lines``, with what would draw them as one."""
    ids = parcels["parcel_id"].astype(str)
    name = dict(zip(ids, parcels["name"].fillna(ids) if "name" in parcels else ids, strict=True))
    return [_near(row, name, folder) for row in rows.to_dict("records")]


def near_said(near: "pd.DataFrame") -> list[str]:
    """The same as walk says them: parcels pair by pair, hand-drawn lines of stands together, with the largest distance.

    near: rows of ``land.near_lines`` with their ``words``.
    """
    drawn = (near["what"] != "parcels") & (near["kind"] != "lane")
    if drawn.sum() < 2:
        return list(near["words"])
    far = near[drawn].sort_values(["within_ft", "high_ft"]).iloc[-1]
    command = far["words"].partition("`")[2].partition("`")[0]
    apart = near.loc[drawn, ["low_ft", "high_ft"]].abs().to_numpy().max()
    together = (
        f"Lines of stands run up to {_feet(apart)} beside each other or beside a parcel's line at {int(drawn.sum())} "
        f"places, likely one line traced twice; `{command}` draws them as one."
    )
    return [*near.loc[~drawn, "words"], together]


def _feet(feet: float) -> str:
    return f"{feet:,.0f} {'foot' if round(feet) == 1 else 'feet'}"


def _near(row: Mapping[Any, Any], name: Mapping[str, str], folder: str) -> str:
    a, b = row["a"], row["b"]
    who = {
        "parcels": f"{name.get(a, a)} and {name.get(b, b)}",
        "stands": f"Stands {a} and {b}",
        "stand in parcel": f"Stand {a} and the line of {name.get(b, b)}",
    }[row["what"]]
    command = f"woodlot mend {folder} --within {row['within_ft']:g}"
    if row["kind"] == "corner":
        return f"{who}: corners {row['high_ft']:,.0f} feet apart, likely one corner; `{command}` draws it as one."
    how_far = f"{who}: {_apart(row['low_ft'], row['high_ft'])} along {row['length_ft']:,.0f} feet"
    if row["kind"] == "lane":
        way = f"`{command} --pair {a} {b}` draws it as one"
        return f"{how_far}, perhaps a road or a brook between. It is left so; if it is one line, {way}."
    both = " and ".join(
        f"{acres:.1f} acres {where}"
        for acres, where in ((row["gap_ac"], "between them"), (row["doubled_ac"], "in both"))
        if acres >= LEAST_AC
    )
    return f"{how_far}{f' ({both})' if both else ''}, likely one line traced twice; `{command}` draws it as one."


def _apart(low: float, high: float) -> str:
    """How far lines are apart, or over each other (below 0), in whole feet."""
    if low < -0.5 and high > 0.5:
        return f"up to {_feet(high)} apart and up to {_feet(-low)} over each other"
    less, more = sorted((abs(low), abs(high)))
    feet = f"{less:,.0f} to {_feet(more)}" if round(less) != round(more) else _feet(more)
    return f"{feet} {'apart' if high > 0.5 else 'over each other'}"


def drawn_as_one(changes: "pd.DataFrame", within_ft: float, files: Mapping[str, str], dry_run: bool) -> list[str]:
    """What mend did (``land.mended.Redrawn.changes``); files: name written -> name under which the old one is kept."""
    moved = changes[changes["moved_ft"] > 0]
    kinds = moved["what"].value_counts()
    many = " and ".join(plural(int(kinds[what]), what) for what in ("parcel", "stand") if what in kinds)
    first = (
        f"Lines within {within_ft:g} feet of each other are drawn as one, midway between them: {many} "
        f"{'moves' if len(moved) == 1 else 'move'}, the farthest by {moved['moved_ft'].max():,.0f} feet."
    )
    if dry_run:
        return [first, "This was a trial: nothing is written."]
    return [first, *(f"Written: {new}. The outlines as they were are kept in {old}." for new, old in files.items())]


def none_near(within_ft: float, within: float | None) -> str:
    """That no lines are to be drawn as one; within: a distance that would find some, None where none does."""
    more = "" if within is None else f"; there are some within {within:g}"
    return f"no two lines that may be one lie within {within_ft:g} feet of each other, so nothing is changed{more}"


def distance(way: Mapping[Any, Any]) -> str:
    """The way from a stand, of a row of ``land.near.distances``."""
    aim = way["name"] or way["to"]
    if way["how"] == "straight":
        return f"{_far(way['straight_ft'])} to {aim}, in a straight line."
    climb = ""
    if way["to"] != "home":
        climb = f", {way['drop_ft']:.0f} feet down and {way['climb_ft']:.0f} up coming from there"
    return f"{_far(way['surface_ft'])} to {aim}, straight over the ground{climb}."


def _far(feet: float) -> str:
    return f"{feet / FT_PER_MI:,.1f} miles" if feet >= FT_PER_MI else f"{round(feet, -1):,.0f} feet"


def workable(row: Mapping[Any, Any], heights: bool) -> str:
    """What of a stand is left out of the work, of a row of ``land.water.workable``; heights: whether any are known."""
    parts = []
    if row["strip_ac"] >= LEAST_AC:
        parts.append(f"{row['strip_ac']:.1f} acres along water are left out")
    if row["steep_ac"] >= LEAST_AC:
        parts.append(f"{row['steep_ac']:.1f} acres are too steep for skidding")
    if row["wet"]:
        parts.append("the ground carries only when frozen")
    if not heights:
        parts.append("steep ground is not known without a raster of heights")
    line = "; ".join(parts)
    return f"{capital(line)}." if parts else ""


def read_counts(parcels: "pd.DataFrame", stands: "pd.DataFrame", rows: Mapping[str, int]) -> str:
    """What was read of a place: parcels and stands with their acres, plots, trees, pellet plots, notes."""
    first = f"{plural(len(parcels), 'parcel')}, {parcels['acres'].sum():,.1f} acres."
    if len(stands):
        first += f" {plural(len(stands), 'stand')}, {stands['acres'].sum():,.1f} acres without home ground and water."
    things = {"plots": "plot", "trees": "tree", "tally": "tallied tree", "pellets": "pellet plot", "ledger": "note"}
    rest = [plural(rows[name], word) for name, word in things.items() if rows.get(name)]
    return first + (f" {', '.join(rest)}." if rest else "")


def raster_fault(path: Path, error: InputError) -> Fault:
    """Why a raster cannot be used, and what to do; error: what was raised when it was read."""
    name = path.name
    what, _, remedy = str(error).removeprefix(f"{name} ").partition("; ")
    what = what.replace("and the outlines do not meet: the raster lies", "lies elsewhere: it is")
    what = what.replace(f"raster: {name}: ", "raster: ").replace(f"'{path}' ", "").rstrip(".")
    remedy = remedy or "get the file again, or take it out of the folder"
    end = "" if remedy.endswith("?") else "."
    return Fault(name, None, "", what, f"{capital(remedy)}{end}")


def _shows_part(name: str, stands: tuple[tuple[str, float], ...]) -> str:
    shares = ", ".join(f"{stand} ({pct:.0f}%)" for stand, pct in stands)
    who = f"stand{'s' * (len(stands) > 1)} {shares}"
    return f"{name} shows only a part of {who}; its figures there are of that part."


def _trial(attribute: str, used: str, n: int, errors: tuple[tuple[str, float], ...]) -> str:
    wrong = ", ".join(f"{way} {error:.3g}" for way, error in errors)
    return (
        f"{attribute} per acre of stands without plots come from the {used}: with each of {n} measured stands left out "
        f"in turn, it was wrong by {wrong}."
    )


#: Notes on rasters, water and what stands borrow: key of a Reason -> its whole sentence.
WORDS: Mapping[str, Callable[..., str]] = {
    "raster without use": lambda name: (
        f"{name} is not used: name it elevation, canopy_height, land_cover or ..._picture."
    ),
    "raster not read": lambda error: error if error.endswith((".", "?")) else f"{error}.",
    "raster shows nothing": lambda name, stands: (
        f"{name} shows nothing of stand{'s' * (len(stands) > 1)} {', '.join(stands)}."
    ),
    "raster shows a part": _shows_part,
    "strips by state": lambda why: f"Strips along water: {why}.",
    "stream width assumed": lambda names: (
        f"{', '.join(n or 'a stream' for n in names)}: no width is told; taken to be 3 to 10 feet wide and to run all "
        "year."
    ),
    "strips as level": lambda: "Strips along water are drawn as on level ground where no heights are known.",
    "no tree heights": lambda: "Stands without plots borrow nothing: no raster of tree heights covers them.",
    "nothing to borrow from": lambda error: f"Stands without plots borrow nothing: {error}.",
    "raster blind to stand": lambda stand: f"Stand {stand} borrows nothing: the raster shows nothing of it.",
    "likeness tried": _trial,
}
