"""Blank tally sheets to print: tree plots, points only counted, pellet lines, browsed stems, cameras.

Two halves a sheet, for a pocket.

html(answers, which)      the sheets as one HTML page, with the family's parcels, stands and kinds of tree on them

Rows are .35 in high, for a pencil in gloves; every fifth line is heavy. Columns are those of the place's tables.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from html import escape
from typing import Any, NamedTuple

from woodlot.answers.measuring import Measuring
from woodlot.answers.plot_types import FirstPlot, FirstPlots
from woodlot.answers.scale import ScaleAnswer
from woodlot.answers.types import Answers
from woodlot.errors import InputError
from woodlot.map import offline
from woodlot.paper.plot_sketch import sketch
from woodlot.plan.cautions import SIGN, STAND
from woodlot.say import first_plots as say
from woodlot.say import measuring as say_measuring
from woodlot.say.words import capital, first_of, noun
from woodlot.stand.plots import limiting_distance_ft_prism
from woodlot.trade import PAPERS, known

__all__ = ["SHEETS", "html", "known_kinds"]

SHEETS = ("plot", "count", "pellet", "browse", "camera")
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
INCHES = (6, 8, 10, 12, 14, 16, 18, 20, 24)


def html(
    answers: Answers | ScaleAnswer,
    measuring: Measuring,
    which: Sequence[str] = SHEETS,
    factors: Sequence[float] = (10.0, 20.0),
    copies: int = 2,
    paper: str = "letter",
    to_put: FirstPlots | None = None,
    shapes: dict[str, Any] | None = None,
    letters: Mapping[str, str] | None = None,
    mind: Mapping[str, str] | None = None,
) -> str:
    """Blank sheets to print and carry.

    Parameters
    ----------
    answers
        All that was answered for the place: its name, its stands and kinds of tree.
    measuring
        How many trees are measured beside the count, and whose heights are wanted.
    which
        Any of "plot", "count", "pellet", "browse", "camera", in the order wanted.
    factors
        Prism factors whose limiting distances stand at the foot of the tree sheet [sq ft/ac].
    copies
        Halves of each kind.
    paper
        "letter" or "a4", both landscape.
    to_put
        Plots still to be measured: each has a half of its own, with the way to it, before the blank ones.
    shapes
        Outlines of the stands for their small maps, stand_id -> GeoJSON geometry; needed with ``to_put``.
    letters
        Letter -> word on a tree (``tree.quality.letters``): a narrow column asks for one, its legend stands at the
        foot; without them nothing is asked.
    mind
        Topic -> what to mind with deer, in short (``plan.cautions.short_of_deer``), at the foot of their sheets.

    Raises
    ------
    InputError
        For an unknown sheet or paper, or fewer than one copy.
    """
    plot = partial(_plot, letters=letters or {}, measuring=measuring)
    count = partial(_count, measuring=measuring)
    makers: dict[str, Callable[..., str]] = {
        "plot": plot,
        "count": count,
        "pellet": partial(_pellet, mind=_mind(mind, SIGN)),
        "browse": partial(_browse, mind=_mind(mind, SIGN[:1])),
        "camera": partial(_camera, mind=_mind(mind, STAND)),
    }
    strange = [w for w in which if w not in makers]
    if strange or not which:
        raise InputError(f"sheet is {', '.join(strange) or 'missing'}, must be one of {', '.join(SHEETS)}")
    paper = known(paper, PAPERS, "paper")
    if copies < 1:
        raise InputError(f"copies is {copies}, must be 1 or more")
    halves = [makers[w](answers, factors) for w in which for _ in range(copies)]
    if to_put and "plot" in which:
        ways = [_Way(to_put, at, shapes or {}) for at in range(len(to_put.plots))]
        halves = [plot(answers, factors, way) for way in ways] + halves
    if len(halves) % 2:
        halves.append("<div class='half'></div>")
    pairs = zip(halves[::2], halves[1::2], strict=True)
    body = "".join(f"<section class='sheet'>{a}{b}</section>" for a, b in pairs)
    title = f"Tally sheets: {answers.name}"
    rule = f"@page{{size:{PAPERS[paper].one} landscape;margin:.28in .3in}}"
    if paper == "a4":
        rule += ".sheet{width:11.05in;height:7.66in;--less:2px}"
    return offline.finished(
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}"><title>{escape(title)}</title>'
        f"<style>{offline.own('sheet.css', 'paper')}{rule}</style></head>\n<body><main>{body}</main></body></html>\n"
    )


def _mind(short: Mapping[str, str] | None, topics: Sequence[str]) -> str:
    """A line of what to mind with deer."""
    words = " ".join(text for topic, text in (short or {}).items() if topic in topics)
    return f"<p class='kinds'>{escape(words)}</p>" if words else ""


def _title(name: str, right: str) -> str:
    return f"<div class='title'><h1>{name}</h1><span>{right}</span></div>"


def _blanks(*names: str, **filled: str) -> str:
    """Fields to fill in; ``filled``: name -> what stands there already."""
    cells = (f"{name}<b>{escape(filled[name])}</b>" if filled.get(name) else name for name in names)
    return f"<div class='blanks'>{''.join(f'<div>{cell}</div>' for cell in cells)}</div>"


def _box(words: str) -> str:
    return f"<span class='box'></span>{words}"


def _rows(columns: Sequence[tuple[str, int]], count: int, px: int, filled: Sequence[str] = ()) -> str:
    """A table of blank rows: a number before each, a heavy line after every fifth; names ``filled`` into column 1."""
    widths = "".join(f"<col style='width:{w}px'>" for _, w in columns)
    head = "".join(f"<th>{name}</th>" for name, _ in columns)
    body = []
    for i in range(1, count + 1):
        first = escape(filled[i - 1]) if i <= len(filled) else ""
        cells = f"<td class='kind'>{first}</td>" + "<td></td>" * (len(columns) - 1)
        body.append(f"<tr{' class=five' if i % 5 == 0 else ''}><td class='n'>{i}</td>{cells}</tr>")
    table = f"<table style='--row:{px}px'><colgroup><col style='width:24px'>{widths}</colgroup>"
    return f"{table}<thead><tr><th>no.</th>{head}</tr></thead><tbody>{''.join(body)}</tbody></table>"


class _Way(NamedTuple):
    """The way to one plot: all plots, which of them it is, and outlines for its small map."""

    plots: FirstPlots
    at: int
    shapes: dict[str, Any]

    @property
    def plot(self) -> FirstPlot:
        return self.plots.plots[self.at]

    def html(self) -> str:
        """The small map, and beside it how to come to the plot."""
        plot = self.plot
        last = self.at + 1 == len(self.plots.plots) or self.plots.plots[self.at + 1].round != plot.round
        begin = next(one for one in self.plots.rounds if one.round == plot.round)
        back = begin.back if last else ""
        mark = capital(say.FOR_GOOD) if plot.for_good else ""
        told = [capital(plot.way), plot.check, f"{plot.lat:.6f}, {plot.lon:.6f}", mark, say.CHANCE, say.NORTH, back]
        words = "".join(f"<p>{escape(one)}{'' if one.endswith('.') else '.'}</p>" for one in told if one)
        return f"<div class='way'>{sketch(*self)}<div>{words}</div></div>"


def _plot(
    answers: Answers | ScaleAnswer,
    factors: Sequence[float],
    way: _Way | None = None,
    *,
    letters: Mapping[str, str],
    measuring: Measuring,
) -> str:
    names = {p.parcel_id: p.name for p in answers.parcels or ()}
    known = {}
    if way:
        known = {
            "stand": way.plot.stand_id,
            "plot": way.plot.plot_id,
            "parcel": names.get(way.plot.parcel_id or "", ""),
        }
    boxes = "factor" + "".join(_box(f"{f:g}") for f in sorted({5.0, *factors}))
    columns = (
        ("kind of tree", 100), ("across<br>at 4½ ft", 52), ("feet to<br>4-in top", 52), ("16-ft<br>logs", 44),
        ("rot %", 44), *([("letter", 42)] if letters else []), ("feet to<br>center", 50), ("count<br>twice", 46),
    )  # fmt: skip
    legend = ", ".join(f"<b>{escape(letter)}</b>&nbsp;{escape(word)}" for letter, word in letters.items())
    judge = f"<p class='kinds'>A letter, if you judge the tree: {legend}.</p>" if letters else ""
    kinds = "" if way else f"<p class='kinds'>{escape(_kinds(answers))}</p>"
    tall = next((one.short for one in measuring.heights if way and one.stand_id == way.plot.stand_id), "")
    rule = say_measuring.on_every_point(measuring.rule, measuring.factor_times)
    rule += f" {say_measuring.tall(tall)}" if tall or not way else ""
    head = "".join(f"<td>{inches}</td>" for inches in INCHES)
    far = "".join(
        f"<tr><td>factor {f:g}</td>"
        + "".join(f"<td>{float(limiting_distance_ft_prism(float(inches), f)):.1f}</td>" for inches in INCHES)
        + "</tr>"
        for f in factors
    )
    return (
        "<div class='half'>"
        + _title("Trees: one prism plot", boxes)
        + _blanks("date", "who", "parcel", "stand", **known)
        + (way.html() if way else "")
        + _blanks(
            "plot", "slope %", f"across in<br>{_box('inches')} {_box('cm')}", "property line within 66 ft?", **known
        )
        + "<p class='empty'><span class='box'></span><span><b>No tree is in.</b> Tick and keep the sheet: "
        "an empty plot counts.</span></p>"
        + "<p class='in'><b>In, in all:</b> alive <u></u> dead <u></u> both, by tape <u></u></p>"
        + f"<p class='rule'>{escape(rule)}</p>"
        + _rows(columns, (6 if way else 11) - bool(letters), 33 - bool(letters))
        + "<p class='rule'><b>Just in, or just out?</b> Level to the center of the trunk, in when not over, feet:</p>"
        + "<table class='far'><colgroup><col style='width:66px'></colgroup><tbody>"
        + f"<tr><td>inches</td>{head}</tr>{far}</tbody></table>"
        + f"{judge}{kinds}</div>"
    )


def _count(answers: Answers | ScaleAnswer, factors: Sequence[float], *, measuring: Measuring) -> str:
    """Many points on which trees are only counted."""
    columns = (
        ("plot", 54), ("stand", 46), ("slope<br>%", 40), ("a dot a tree", 116), ("alive,<br>in all", 48),
        ("dead,<br>in all", 48), ("of these<br>measured", 60),
    )  # fmt: skip
    boxes = "factor" + "".join(_box(f"{f:g}") for f in sorted({5.0, *factors}))
    rule = say_measuring.on_every_point(measuring.rule, measuring.factor_times)
    return (
        "<div class='half'>"
        + _title("Trees counted: many points", boxes)
        + _blanks("date", "who", "parcel")
        + f"<p class='rule'>{escape(rule)} Those have a plot sheet of their own. One factor for every point of a stand."
        "</p><p class='rule'><b>No tree is in? Write 0:</b> an empty point counts. A tree that counts twice at an edge "
        "is two.</p>" + _rows(columns, 15, 33) + f"<p class='kinds'>{escape(_kinds(answers))}</p></div>"
    )


def _kinds(answers: Answers | ScaleAnswer) -> str:
    """The kinds of tree that the place knows, commonest first, and which stands have no plot yet."""
    names = known_kinds(answers)[:10]
    bare = [s.stand_id for s in answers.stands if not s.plots]
    kinds = f"Kinds here: {', '.join(names)}. " if names else ""
    return kinds + (f"No plot yet in {noun(len(bare), 'stand')} {first_of(bare, 12)}." if bare else "")


def known_kinds(answers: Answers | ScaleAnswer) -> list[str]:
    """Kinds of tree of a place, those with most of its wood first."""
    share_pct: dict[str, float] = {}
    for s in answers.stands:
        for k in s.species:
            share_pct[k.species] = share_pct.get(k.species, 0.0) + k.share_pct
    return sorted(share_pct, key=lambda name: (-share_pct[name], name))


def _pellet(answers: Answers | ScaleAnswer, factors: Sequence[float], *, mind: str) -> str:
    columns = (("pellet<br>groups", 62), ("stand", 62), ("what else was seen", 300))
    return (
        "<div class='half'>"
        + _title("Deer sign: one line", "plot radius" + _box("4 ft") + _box("____ ft"))
        + _blanks("date", "who", "parcel", "line")
        + _blanks("date leaves fell", "feet between plots", "deep snow, weeks")
        + "<p class='rule'>A group is more than 10 pellets alike, at least half inside. None? Write 0.</p>"
        + _rows(columns, 20, 25)
        + "<p class='rule'><b>Recount</b> plots 5 and 15 before you leave: ______ &nbsp; ______ groups.</p>"
        + f"{mind}</div>"
    )


def _browse(answers: Answers | ScaleAnswer, factors: Sequence[float], *, mind: str) -> str:
    columns = (
        ("kind of stem", 92), ("plot", 44), ("stems", 44), ("of those<br>browsed", 52),
        ("second kind", 92), ("stems", 44), ("of those<br>browsed", 52),
    )  # fmt: skip
    return (
        "<div class='half'>"
        + _title("Browsed stems: one line", "plot radius" + _box("4 ft") + _box("____ ft"))
        + _blanks("date", "who", "parcel", "line")
        + "<p class='rule'>Stems: woody, 6 inches to 6 feet tall, inside the circle. Bitten by deer: a torn end, "
        "no clean cut. More kinds? Use the back. No stems on a plot? Write the plot and 0.</p>"
        + _rows(columns, 20, 26)
        + f"<p class='kinds'>{escape(_kinds(answers))}</p>{mind}</div>"
    )


def _camera(answers: Answers | ScaleAnswer, factors: Sequence[float], *, mind: str) -> str:
    columns = (
        ("date", 62), ("hours", 44), ("bucks", 44), ("of those<br>spikes", 50), ("does", 44), ("fawns", 44),
        ("could<br>not tell", 50), ("new<br>buck?", 70),
    )  # fmt: skip
    return (
        "<div class='half'>"
        + _title("Deer seen: one camera or stand", _box("camera") + _box("from a stand"))
        + _blanks("from", "to", "who", "camera or stand")
        + _blanks("parcel", "stand of trees", f"bait within 100 yards?<br>{_box('yes')} {_box('no')}")
        + "<p class='rule'>One row a day or a sitting. A fawn is this year’s; a spike is a buck too: count it in both. "
        "Could not tell? Say so; do not guess.</p>"
        + _rows(columns, 17, 28)
        + "<p class='rule'><b>Different bucks told apart</b> in all: ______ (by antlers, a photo of each)</p>"
        + f"{mind}</div>"
    )
