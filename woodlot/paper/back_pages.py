"""The last pages of the report: the woods in charts, and how the numbers were made.

charts_page       cords by stand, and whatever series the plan worked out
method_page       the base of the cord, sources with their marks, what is from memory, cautions
"""

from collections.abc import Callable
from html import escape
from typing import Any

from woodlot import words
from woodlot.map.words import cap, odds, plural
from woodlot.paper import deer_charts
from woodlot.paper import figures as charts
from woodlot.paper.pages import page
from woodlot.paper.parcel_pages import mark
from woodlot.paper.wood_pages import NONE
from woodlot.trade import UNMEASURED

__all__ = ["charts_page", "method_page"]


def charts_page(answers: dict[str, Any], layers: dict[str, Any], foot: str) -> str:
    """Cords by stand where fullness has no page of its own, and whatever series the plan worked out."""
    names = {p["id"]: p["name"] for p in layers["parcels"]}
    series = answers.get("charts") or {}
    rows = [
        {
            "id": s["stand_id"],
            "name": f"{cap(str(s['cover']))}, {names.get(str(s['parcel_id']), words.NO_PARCEL)}",
            "estimate": s["cords_per_ac"] if s["how"] not in UNMEASURED else None,
            "none": NONE.get(s["how"], "not measured"),
        }
        for s in answers["stands"]
    ]
    caption = f"Full cords an acre; the bar holds the truth {odds(answers['level'])}."
    cords = charts.ranges(rows, "full cords an acre")
    first = f"<h2>What stands, stand by stand</h2><p class='caption'>{caption}</p>{cords}"
    first = "" if series.get("fullness") else first
    level = f"{round(100 * answers['level'])}%"
    stock = series.get("stock") or {}
    banded = f" ({level})" if stock.get("low") else ", middle growth"
    drawn: tuple[tuple[str, str, str, Callable[[Any], str]], ...] = (
        (
            "stock",
            stock.get("title", "What stands over the years"),
            f"Full cords standing on measured ground{banded}",
            charts.stock,
        ),
        ("risk", "What taking does risks", "Chance in 100 the herd halves in 10 years (assumptions)", deer_charts.risk),
        (
            "meat",
            "The top is flat, the far side a slide",
            "Pounds of doe meat a year, your share (assumptions)",
            deer_charts.meat,
        ),
        ("heat", "Dry wood and the need", f"Full cords ready to burn (shaded: the need, {level})", charts.heat),
    )
    halves = [_half(title, caption, draw(series[name])) for name, title, caption, draw in drawn if series.get(name)]
    reading = (
        f"<div class='keep'><h2>How to read these pages</h2><div class='reading'>{_how_to_read(answers)}</div></div>"
    )
    return page(layers, "the woods in charts", first + f"<div class='half'>{''.join(halves)}</div>{reading}", foot)


def _half(title: str, caption: str, chart: str) -> str:
    return f"<div><h2>{escape(title)}</h2><p class='caption'>{escape(caption)}</p>{chart}</div>"


def _how_to_read(answers: dict[str, Any]) -> str:
    lines = (
        f"A dot is the best number. The bar or shading around it is where the truth lies {odds(answers['level'])}.",
        "Hatched means nobody has measured there.",
        "≈ means borrowed from stands that look alike. Plan nothing on it.",
        "† means from memory: no source was seen. A forester should check it.",
        "“Assumptions”: guesses set side by side, not measured. Such a range has no odds.",
    )
    return "".join(f"<p style='margin-bottom:4px'>{escape(w)}</p>" for w in lines)


def method_page(answers: dict[str, Any], layers: dict[str, Any], foot: str) -> str:
    """How the numbers were made: the base of the cord, the sources with their marks, what is from memory, warnings."""
    base = answers["base"]
    rule = words.rule(str(base.get("log_rule") or ""))
    told = [
        layers["head"]["cord"],
        f"Board feet by the {rule}." if rule else "",
        f"Volumes by the national equations, division {base['division']}." if base.get("division") else "",
        f"Acres are measured on the ellipsoid; deed acres are shown beside them. {layers['head']['foot']}",
    ]
    out = ["<h1>How the numbers were made</h1>", *(f"<p style='margin-bottom:4px'>{escape(w)}</p>" for w in told if w)]
    if answers.get("measure_next"):
        out.append("<h2>Measure next</h2>" + "".join(f"<p>{escape(str(m))}</p>" for m in answers["measure_next"]))
    if answers.get("memory"):
        rows = "".join(f"<p style='margin-bottom:3px'>† {escape(str(m))}</p>" for m in answers["memory"])
        out.append(f"<h2>From memory, no source seen</h2>{rows}")
    if answers.get("sources"):
        rows = "".join(
            f"<tr><td>{escape(str(s['text']))}{mark(s['seen'])}</td>"
            f"<td class='nowrap'>{escape(str(s['seen']))}</td></tr>"
            for s in answers["sources"]
        )
        out.append(f"<h2>Sources</h2><table class='sources'><tr><th>source</th><th>seen</th></tr>{rows}</table>")
    said = [f"{c['where']}: {c['text']}" for c in answers.get("cautions") or []] + [
        str(w) for w in answers.get("warnings") or []
    ]
    if said:
        count = plural(len(said), "caution")
        out.append(f"<h2>{count}</h2><div class='caution'>{''.join(f'<p>{escape(w)}</p>' for w in said)}</div>")
    return page(layers, "sources and method", "".join(out), foot)
