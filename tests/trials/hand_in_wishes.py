"""Hand-ins that say what the family wants, wishes and saw on its trees: words that are right, at odds, and unknown.

words_on_trees   each word of the region on trees and tally, and defects out of order
wishes           each wish on parcels, stands and shapes, alone and beside another
wants            entries of [[wants]] and [[builds]], builds.csv, marks to clear, stems to the chipper
counting         points counted and checked, prisms, edges, answers, stacks of a job, drives
"""

from collections.abc import Iterator
from datetime import date
from typing import Any

from hand_in_shapes import Change, Do, both, cells
from hand_ins import HandIn, at, box, feature, line

from woodlot import trade
from woodlot.region import shipped
from woodlot.tree.quality import spellings

DAYS = {"first": date(2001, 1, 1), "gone": date(2026, 6, 1), "to come": date(2027, 10, 1)}
SIZES = {"length_ft": 8.0, "top_in": 4.0, "butt_in": 30.0}


def words_on_trees() -> Iterator[Change]:
    """Each word in all rows and in one; several; none that anybody knows; a defect without a word and upside down."""
    said = sorted(set(spellings(region=shipped("northeast")).values()))
    for table in ("trees", "tally"):
        for word in (*said, "C, P", "keep; R", "no such word", "7", ", ;"):
            for every in (True, False):
                rows = "all rows" if every else "one row"
                yield f"{table}.quality {word!r} in {rows}", cells(table, every, quality=word)
    for low, high in (("12", ""), ("", "12"), ("12", "12"), ("20", "12"), ("0", "150"), ("0.1", "0.2")):
        there = {"defect_from_ft": low, "defect_to_ft": high}
        for word in ("", "fork", "crook", "rot", "crop"):
            yield f"tally.quality {word!r}, defect {low} to {high}", cells("tally", True, quality=word, **there)
    for mark in ("clear", "Clear; red dot", "cleared", "hung", ""):
        yield f"tally.mark {mark!r} in all rows", cells("tally", True, mark=mark)


def _drawn(kind: str, shape: Any, *told: Any) -> Do:
    """A shape more among the features."""
    return lambda hand_in: hand_in.maps["features"].append((feature(kind, *told), shape))


def wishes() -> Iterator[Change]:
    """Each wish on each map, with a year gone by, to come and without; drawn as a line, far off; words nobody knows."""
    for wish in (*trade.WISHES, "never cut, cut first", "view, sugarbush", "keep, never cut", "no such wish"):
        for year in (None, 2020, 2026, 2027, 2099):
            for table in ("parcels", "stands"):
                told = cells(table, True, wish=wish, wish_until=year, wish_since=None)
                yield f"{table}.wish {wish!r} until {year} on all", told
        both_maps = both(cells("parcels", True, wish=wish), cells("stands", True, wish=wish))
        yield f"wish {wish!r} on parcels and stands", both_maps
        since = cells("stands", True, wish=wish, wish_until=2030, wish_since="2025-01-01")
        yield f"wish {wish!r} on stands since notes were made", since
    for wish in trade.WISHES:
        for name, shape in (
            ("round all", box(-1, -1, 15, 12)),
            ("far off", box(900, 900)),
            ("across stands", box(1, 1, 4, 1)),
            ("as a line", line(at(1, 1), at(3, 3))),
        ):
            yield f"{wish} drawn {name}", _drawn(wish, shape, None, None, None, None, None, 2040)
    yield "a year without a wish", cells("stands", True, wish=None, wish_until=2030)
    yield "features whose wish ended", _drawn(trade.VIEW, box(1, 1), None, None, None, None, None, 2020)


def _wanted(part: str, *entries: dict[str, Any]) -> Do:
    return lambda hand_in: hand_in.toml.update({part: list(entries)})


def _alone(part: str, *entries: dict[str, Any]) -> Do:
    """The same where nothing else is needed or wanted."""

    def change(hand_in: HandIn) -> None:
        for key in ("needs", "wants", "builds"):
            hand_in.toml.pop(key, None)
        hand_in.toml[part] = list(entries)

    return change


def wants() -> Iterator[Change]:
    """Each product by each day, alone and among the rest; each ready list; builds of the family's own and of nobody."""
    for product in trade.PRODUCTS:
        one = {"product": product, "number": 5.0}
        for often in trade.OFTEN:
            yield f"wants {product} {often}", _wanted("wants", one | {"often": often})
        for when, day in DAYS.items():
            yield f"wants {product} by a day {when}", _wanted("wants", one | {"by": day})
            yield f"wants {product} asked on a day {when}", _wanted("wants", one | {"asked": day})
        for number in (0.0, 0.4, 100_000.0):
            yield f"wants {number:g} of {product}", _wanted("wants", one | {"number": number})
            yield f"wants nothing but {number:g} of {product}", _alone("wants", one | {"number": number})
        yield f"wants {product} by size", _wanted("wants", one | SIZES)
        for wood in (*trade.WOODS, "paper birch", "no such tree"):
            yield f"wants {product} of {wood}", _wanted("wants", one | {"wood": wood})
    yield "wants without a number", _wanted("wants", {"product": "post"})
    yield "wants of no product", _wanted("wants", {"product": "shingle", "number": 3.0})
    yield "wants and builds of nothing", both(_wanted("wants"), _wanted("builds"))
    for name in (*sorted(set(shipped("northeast").table("builds")["build"])), "shed", "no such build"):
        yield f"builds {name}", _wanted("builds", {"name": name, "number": 3.0, "by": DAYS["to come"]})
        yield f"builds nothing but {name}", _alone("builds", {"name": name})
    for stems in (True, False, "yes"):
        yield f"chip_stems {stems}", _told("needs", chip_stems=stems)
    yield "chip_stems and no chips", _told("needs", chip_stems=True, chips_cuyd=None)
    for marks in ("barn", ["barn", "clear"], ["no such mark"], [""], [], 3):
        yield f"clear {marks!r}", _told("needs", clear=marks)


def counting() -> Iterator[Change]:
    """Points counted, checked and walked in every way; prisms, edges, answers; stacks that teach or cannot."""
    bare = lambda hand_in: hand_in.tables["trees"].clear()  # noqa: E731
    for live, dead in (("0", ""), ("0", "0"), ("9", ""), ("9", "0"), ("1000", "1000"), ("", "3"), ("2.5", "x")):
        told = cells("plots", True, live_in=live, dead_in=dead, kind="prism", baf_sqft_per_ac="10", radius_ft="")
        yield f"plots of {live or 'none'} live and {dead or 'none'} dead in", told
        yield f"plots of {live or 'none'} live and {dead or 'none'} dead in, no tree measured", both(told, bare)
    for found in ("0", "1", "13", "14", "60", "-1"):
        yield f"checked_count {found} on every plot", cells("plots", True, checked_count=found)
    for edges in (*trade.EDGES, "", "no such word", 3):
        yield f"cruise.edges {edges!r}", _told("cruise", edges=edges)
    for answer in (*trade.ANSWERS, "no such word"):
        for hours in (0.5, 100.0, None):
            yield f"cruise.answer {answer!r} in {hours} hours", _told("cruise", answer=answer, hours=hours)
    for use in (True, False, "no"):
        yield f"rasters_at_plots.use {use!r}", _told("rasters_at_plots", use=use)
    prism = {"factor": 10.0, "width_ft": 1.0, "distance_ft": 32.4}
    yield "a prism whose plots were taped", _wanted("prism", prism | {"doubtful_taped": True})
    yield "a prism twice", _wanted("prism", prism, prism)
    for key, value in (("factor", 20.0), ("width_ft", 0.0), ("distance_ft", 500.0), ("distance_ft", None)):
        one = {name: held for name, held in (prism | {key: value}).items() if held is not None}
        yield f"a prism with {key} {value}", _wanted("prism", one)
    for teaches in (True, False):
        yield f"woodpile_teaches {teaches}", _told("choices", woodpile_teaches=teaches)
    for words in ("4.2 cords of 10 trees", "0 cords of 0 trees", "4..2 cords of 10 trees", "900 cords of 1 tree"):
        job = f"job: lane; foretold {words}; 16 x 4 x 4 ft"
        yield f"a stack of which {words} were foretold", _stacked(job)
    yield "a stack of a job without a name", _stacked("job: ; 16 x 4 x 4 ft")
    for method in ("drive", "snow walk", "camera"):
        for complete in ("yes", "no", ""):
            told = cells("counts", True, method=method, complete=complete, acres="40")
            yield f"counts all {method}, complete {complete or 'left out'}", told


def _told(part: str, **keys: Any) -> Do:
    """Keys of a part of place.toml; None takes one out."""

    def change(hand_in: HandIn) -> None:
        there = hand_in.toml.get(part, {}) | keys
        hand_in.toml[part] = {key: value for key, value in there.items() if value is not None}

    return change


def _stacked(text: str) -> Do:
    row = {"date": "2026-09-01", "kind": "measured stack", "amount": "2", "unit": "cord", "text": text}
    return lambda hand_in: hand_in.tables["ledger"].append(row | {"line": str(len(hand_in.tables["ledger"]) + 1)})
