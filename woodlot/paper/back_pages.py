"""The last pages of the report: the woods in charts, and how the numbers were made.

charts_page       cords by stand, and whatever series the plan worked out
method_page       the base of the cord, sources with their marks, what is from memory, cautions
"""

from dataclasses import replace
from html import escape
from typing import Any

from woodlot.answers.house_types import House
from woodlot.answers.types import Answers
from woodlot.estimate import Number, is_wide
from woodlot.map.map_words import counted, odds
from woodlot.paper import deer_charts
from woodlot.paper import figures as charts
from woodlot.paper.pages import deer_mind, half, page
from woodlot.paper.parcel_pages import mark
from woodlot.paper.wood_pages import NONE, WIDE
from woodlot.say import words
from woodlot.trade import UNMEASURED

__all__ = ["charts_page", "method_page"]


def _drawn(cords: Number) -> Number:
    """A number as a chart shows it: a wide range is told, not drawn, since it would press all others together."""
    return replace(cords, low=None, high=None) if is_wide(cords.value, cords.low, cords.high) else cords


def charts_page(answers: Answers, layers: dict[str, Any], foot: str) -> str:
    """Cords by stand where fullness has no page of its own, and whatever series the plan worked out."""
    names = {p["id"]: p["name"] for p in layers["parcels"]}
    series = answers.charts
    rows = [
        charts.Ranged(
            s.stand_id,
            f"{words.capital(s.cover)}, {names.get(str(s.parcel_id), words.NO_PARCEL)}",
            _drawn(s.cords_per_ac) if s.how not in UNMEASURED else None,
            NONE.get(s.how, WIDE if s.how == "measured" else "not measured"),
        )
        for s in answers.stands
    ]
    caption = f"Full cords an acre; the bar holds the truth {odds(answers.level)}."
    cords = charts.ranges(rows, "full cords an acre")
    first = f"<h2>What stands, stand by stand</h2><p class='caption'>{caption}</p>{cords}"
    first = "" if series.fullness else first
    level = f"{round(100 * answers.level)}%"
    halves = []
    if series.stock is not None:
        banded = f" ({level})" if series.stock.low else ", middle growth"
        caption = f"Full cords standing on measured ground{banded}"
        halves.append(half(series.stock.title, caption, charts.stock(series.stock)))
    if series.risk:
        caption = "Chance in 100 the herd halves in 10 years (assumptions)"
        halves.append(half("What taking does risks", caption, deer_charts.risk(series.risk)))
    if series.meat is not None:
        caption = "Pounds of doe meat a year, your share (assumptions)"
        halves.append(half("The top is flat, the far side a slide", caption, deer_charts.meat(series.meat)))
    if series.heat:
        caption = f"Full cords ready to burn (shaded: the need, {level})"
        halves.append(half("Dry wood and the need", caption, charts.heat(series.heat) + _wood(answers.heat)))
    reading = (
        f"<div class='keep'><h2>How to read these pages</h2><div class='reading'>{_how_to_read(answers)}</div></div>"
    )
    mind = deer_mind(answers) if series.risk or series.meat is not None else ""
    return page(
        layers, "the woods in charts", first + f"<div class='half'>{''.join(halves)}</div>{mind}{reading}", foot
    )


def _wood(house: House) -> str:
    """Where the firewood lies, when it is dry, and what a tape said of it."""
    if not house.wood:
        return ""
    rows = "".join(
        f"<tr><td>{escape(one.words)}</td><td class='r'>{escape(words.amount(one.cords, 'cords'))}</td>"
        f"<td class='r'>{escape(words.amount(one.mmbtu, 'million Btu'))}</td></tr>"
        for one in house.wood
    )
    taped = "".join(f"<p class='small'>{escape(one.words)}</p>" for one in house.measured or ())
    return f"<table>{rows}</table>{taped}"


def _how_to_read(answers: Answers) -> str:
    lines = (
        f"A dot is the best number. The bar or shading around it is where the truth lies {odds(answers.level)}.",
        "Hatched means nobody has measured there.",
        "≈ means borrowed from stands that look alike. Plan nothing on it.",
        "† means from memory: no source was seen. A forester should check it.",
        "“Assumptions”: guesses set side by side, not measured. Such a range has no odds.",
    )
    return "".join(f"<p style='margin-bottom:4px'>{escape(w)}</p>" for w in lines)


def method_page(answers: Answers, layers: dict[str, Any], foot: str) -> str:
    """How the numbers were made: the base of the cord, the sources with their marks, what is from memory, warnings."""
    lines = [
        layers["head"]["cord"],
        f"Board feet by the {words.rule(answers.base.log_rule)}.",
        f"Volumes by the national equations, division {answers.base.division}.",
        f"Acres are measured on the ellipsoid; deed acres are shown beside them. {layers['head']['foot']}",
    ]
    out = ["<h1>How the numbers were made</h1>", *(f"<p style='margin-bottom:4px'>{escape(w)}</p>" for w in lines)]
    if answers.measure_next:
        out.append("<h2>Measure next</h2>" + "".join(f"<p>{escape(m)}</p>" for m in answers.measure_next))
    if answers.memory:
        rows = "".join(f"<p style='margin-bottom:3px'>† {escape(m)}</p>" for m in answers.memory)
        out.append(f"<h2>From memory, no source seen</h2>{rows}")
    if answers.sources:
        rows = "".join(
            f"<tr><td>{escape(s.text)}{mark(s.seen)}</td><td class='nowrap'>{escape(s.seen)}</td></tr>"
            for s in answers.sources
        )
        out.append(f"<h2>Sources</h2><table class='sources'><tr><th>source</th><th>seen</th></tr>{rows}</table>")
    lines = [*(f"{c.where}: {c.text}" for c in answers.cautions), *answers.warnings]
    if lines:
        count = counted(len(lines), "caution")
        out.append(f"<h2>{count}</h2><div class='caution'>{''.join(f'<p>{escape(w)}</p>' for w in lines)}</div>")
    return page(layers, "sources and method", "".join(out), foot)
