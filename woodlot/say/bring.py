"""Words of what was understood of files brought in, what is asked, and how it is answered."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from woodlot.say.words import capital, id_list, noun, of_region, plural

__all__ = ["asked", "in_folder", "laid_out", "lies", "option", "summary", "told", "waiting_too", "waits", "written"]

#: Key of a note -> its sentence; pieces in braces are its facts.
TOLD = {
    "table": "{called}: {n_rows}, read as {table}: {headings}.",
    "shapes": "{called}: {n_rows} as {table}{ids}.",
    "split": "{called}: parted into {n_plots} and {n_trees}{bare}.",
    "plots_by_stand": "{called}: plots are numbered anew in each stand, so plot {plot} is called {id} and so on.",
    "filled_down": "{called}: {n} empty plot cells are read as the plot above them.",
    "above": "{called}: {column} is {value} throughout, by the words above the heading.",
    "headings_left": "{called}: not read: {headings}.",
    "left": "{called}: left alone, as you said.",
    "not_known": "{called}: left alone; nothing is known in it that a place holds.",
    "old_notes": "{called}: a sheet of notes, for the ledger; woodlot note takes it with --from.",
    "lines_left": "{called}: {n_lines} left alone: open, and named like no stream or road.",
    "days": '{file}: days in "{heading}" such as {cell} are read as {day}.',
    "closed": "{called}: {n_lines} closed to outlines; the widest gap was {gap} ft.",
    "mended": "{called}, row {row}: the outline crosses itself and was mended: {before} acres as walked, {after} now.",
    "nominal": "{called}: {id}: its legal words name {nominal} acres, the outline holds {after}.",
    "covers": "{called}: covers by their names: {covers}.",
    "words": "{called}: {what} by their words: {read}.",
    "home": '{called}: "{name}" is taken for the house, at {lon}, {lat}.',
    "west": "{called}: {how}.",
    "undrawn": "{called}: {ids} {are} named and not drawn; draw {them}, or name the stands as they are drawn.",
    "stands_filled": "{called}: the stand of {n_plots} was filled in: {how}.",
}
_HOW = {
    "minus": "longitudes without a minus sign are read as west",
    "swapped": "longitude and latitude stand in each other's column, and change sides",
    "both": "longitude and latitude change sides, and longitudes are read as west",
    "said": "as you said",
    "only": "there is only one",
    "place": "by where they lie",
}

#: Key of a question -> the sentence, and how an option answers it.
ASKED = {
    "table": ("{called}: what is this? {n_rows} under {headings}.", "--as {answer}"),
    "outlines": ("{called}: {n_outlines}: what are they? {how}", '--as "{answer}"'),
    "no_outlines": ("{called}: this is a list of {table} without outlines; draw them first.", "--as nothing"),
    "heading": ('{called}: is "{heading}" the column {column}?', '--heading "{heading}={answer}"'),
    "column": (
        "{called}: no heading is known for {column}, which {table} need. Which column is it?",
        '--heading "{answer}={column}"',
    ),
    "fill": ("{called}: {column} stands nowhere ({n_rows}). What is it throughout?", '--fill "{column}={answer}"'),
    "unit": (
        '{called}: half of "{heading}" is over {middle}, half under: in which unit is it?',
        '--unit "{column}={answer}"',
    ),
    "piece": (
        '{file}: "{heading}" counts in {piece}s. How many feet is one? A hundred-inch stick is 8.33 ft.',
        '--unit "{column}={answer} ft"',
    ),
    "unit_unknown": ("{column} cannot be in that unit.", '--unit "{column}={answer}"'),
    "species": ('{called}: "{word}" ({n_rows}) {what}.', '--species "{word}={answer}"'),
    "species_unknown": (
        '"{said}", which "{word}" is to mean, is no species of the list.',
        '--species "{word}={answer}"',
    ),
    "cover": ('{called}: "{word}" ({n_rows}) {what}.', '--cover "{word}={answer}"'),
    "cover_unknown": (
        '"{said}", which "{word}" is to mean, is no cover of the list.',
        '--cover "{word}={answer}"',
    ),
    "crs": ("{called}: the file does not say how its coordinates are meant.{guess}", "--crs {answer}"),
    "crs_unknown": ('"{said}" names no coordinate system; write it as EPSG:26916.', "--crs {answer}"),
    "days": (
        '{file}: does the month or the day come first in "{heading}"? {cell} is {mdy} or {dmy}.',
        '--unit "{heading}={answer}"',
    ),
    "mend": (
        "{called}, row {row}: the outline crosses itself. Mended it has {after} acres; {before} as walked. Mend it?",
        "--yes",
    ),
}
_HOWS = {
    "nested": "Some lie within others: those may be stands, the others parcels.",
    "place": "They lie beside or within your parcels.",
}


def _facts(facts: Mapping[str, Any]) -> dict[str, Any]:
    """Facts as they stand in a sentence."""
    out: dict[str, Any] = dict(facts)
    for key, thing in (("rows", "row"), ("plots", "plot"), ("trees", "tree")):
        if key in facts:
            out[f"n_{key}"] = plural(int(facts[key]), thing)
    if "n" in facts:
        for thing in ("row", "line", "plot", "outline"):
            out[f"n_{thing}s"] = plural(int(facts["n"]), thing)
    heads = facts.get("headings")
    if isinstance(heads, Mapping):
        out["headings"] = ", ".join(h if h.lower() == c else f"{h} is {c}" for h, c in heads.items()) or "no column"
    elif heads is not None:
        out["headings"] = ", ".join(heads)
    if isinstance(facts.get("covers"), Mapping):
        out["covers"] = ", ".join(f"{stand} {cover}" for stand, cover in facts["covers"].items())
    if isinstance(facts.get("read"), Mapping):
        out["read"] = ", ".join(f"{word} is {kind}" for word, kind in facts["read"].items())
    if "ids" in facts:
        named = [str(one) for one in facts["ids"] if one]
        out["ids"] = f": {id_list(named, 12)}" if named else ""
    if "bare" in facts:
        out["bare"] = f"; {plural(int(facts['bare']), 'row')} without a tree" if facts["bare"] else ""
    out |= {key: f"{facts[key]:.1f}" for key in ("gap_ft", "before", "after", "middle", "nominal") if key in facts}
    out["gap"] = out.get("gap_ft")
    out |= {key: f"{facts[key]:.5f}" for key in ("lon", "lat") if key in facts}
    return out


def told(key: str, facts: Mapping[str, Any]) -> str:
    """The sentence of a note."""
    words = _facts(facts)
    if key in ("stands_filled", "west"):
        words["how"] = _HOW[facts["how"]]
    if key == "words":
        words["what"] = "trees" if facts["of"] == "species" else "covers"
    if key == "undrawn":
        many = len(facts["ids"]) > 1
        words["ids"] = f"{noun(len(facts['ids']), 'stand', 'stands')} {id_list(list(facts['ids']), 8)}"
        words |= {"are": "are" if many else "is", "them": "them" if many else "it"}
    return TOLD[key].format(**words)


def asked(key: str, file: str, guess: str, facts: Mapping[str, Any]) -> str:
    """The sentence of a question, with what is likely meant."""
    words = _facts(facts) | {"file": file}
    if key == "crs":
        miles = facts.get("miles")
        near = f", {miles:,.0f} miles from your other outlines" if miles is not None and miles < float("inf") else ""
        words["guess"] = f" They would lie in the north country as {facts['guess']}{near}." if guess else ""
    if "kinds" in facts:
        kinds = facts["kinds"]
        words["what"] = f"may be {' or '.join(kinds)}" if kinds else f"is no {key} of the list"
    if key == "outlines":
        words["how"] = _HOWS.get(facts["how"], "")
    if key == "table":
        words["headings"] = words.get("headings") or "no heading"
    sentence = ASKED[key][0].format(**words).strip()
    return f"{sentence} Likely: {guess}." if guess and key not in ("crs", "heading", "mend") else sentence


def option(key: str, guess: str, choices: tuple[str, ...], facts: Mapping[str, Any]) -> str:
    """The option that answers a question."""
    answer = guess or (choices[0] if choices and "kinds" not in facts else "...")
    return ASKED[key][1].format(**{**facts, "answer": answer})


#: What a file of the folder is taken for -> words; the names of tables speak for themselves.
_LYING = {
    "settings": "settings of the place",
    "help": "tells what the tables hold",
    "list": "list of what was brought",
    "codes": "codes of your land cover raster",
    "raster": "a raster",
    "before": "as it was before woodlot wrote it anew; kept, not read",
    "picture": "a picture, left alone",
    "document": "a document, left alone",
    "foreign": "a form that is not read; save it as CSV, XLSX or GeoJSON",
    "other": "left alone",
}


def waits(names: Sequence[str]) -> str:
    """The one line on files that lie unread."""
    return f"Not read yet: {', '.join(names)}. To take {'it' if len(names) == 1 else 'them'} in: woodlot bring."


def lies(taken_for: str, of: str, name: str, place: Any) -> str:
    """What a file of the folder was taken for."""
    if taken_for == "unread":
        return f"not read yet:  woodlot bring {quoted(place)} {quoted(name)}"
    if taken_for == "brought":
        return f"brought into {id_list(of.split(), 8)}" if of else "brought; nothing of it belongs in a table"
    if taken_for == "part":
        return f"by it a line missing from {of} is noticed" if name == "ledger.seal" else f"part of {of}"
    if taken_for == "notes":
        return (
            f"notes; those not in the ledger go in by  woodlot note {quoted(place)} --from {quoted(Path(place) / name)}"
        )
    return _LYING.get(taken_for, f"read as {taken_for}")


def in_folder(files: list[tuple[str, str, str]]) -> list[str]:
    """Every file (name, what it was taken for, in words), those that are read as they stand on one line."""
    plain = [name for name, taken_for, _ in files if taken_for not in (*_LYING, "unread", "brought", "part", "notes")]
    alike: dict[str, list[str]] = {}
    for name, taken_for, words in files:
        if name not in plain and taken_for != "unread":
            alike.setdefault(words, []).append(name)
    lines = [f"Read as the tables they are named for: {', '.join(plain)}."] if plain else []
    lines += [f"{', '.join(names)}: {words}." for words, names in alike.items()]
    return lines + [f"{name}: {words}" for name, taken_for, words in files if taken_for == "unread"]


def quoted(text: Any) -> str:
    """A path as it is typed: between quotation marks where it holds a blank."""
    return f'"{text}"' if " " in str(text) else str(text)


_BY = {"said": "as you said", "lies": "by where the outlines lie", "": "since no outline tells"}


def laid_out(place: Any, region: str, by: str) -> str:
    """The sentence on a place that is new."""
    return f"{place} is a new place ({of_region(region)}), {_BY[by]}."


def summary(added: Mapping[str, int], same: Mapping[str, int], acres: float | None = None) -> str:
    """What the family got: the first line. acres: of the parcels that came in."""
    things = {"parcels": ("parcel", "parcels"), "stands": ("stand", "stands"), "plots": ("plot", "plots")}
    new = []
    for table, n in added.items():
        one, many = things.get(table, (f"row in {table}", f"rows in {table}"))
        new += [f"{n:,} {one if n == 1 else many}"] if n else []
        if n and table == "parcels" and acres is not None:
            new.append(f"{acres:,.1f} acres, as the map has them")
    old = sum(same.values())
    words = f"{', '.join(new)}." if new else "Nothing new."
    return words + (f" {capital(plural(old, 'row'))} stood there already." if old else "")


def written(place: Any, names: Sequence[str], added: Mapping[str, int], new: bool) -> list[str]:
    """The files written that hold something, on one line; and that a new place was laid out around them."""
    held = [name for name in names if name.split(".")[0] in (added if new else (*added, "words"))]
    lines = [f"In {place}: {', '.join(held)}."] if held else []
    return lines + (["Laid out: place.toml, columns.txt and empty tables."] if new else [])


def waiting_too(file: str, names: Sequence[str]) -> str:
    """That other sheets or layers of a file still wait."""
    return f"Not taken from {file} yet: {', '.join(names)}."
