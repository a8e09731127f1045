"""What the map page prints: one page for each parcel, in whichever question is shown.

pages(layers)             HTML of all of them; on the screen only where no scripts run
legend(question, parcel)  the steps of a question that a parcel holds, as a list
notes(layers, parcel)     its notes of the last five years, newest first
"""

from html import escape
from typing import Any

from woodlot.map import map_on_paper
from woodlot.map.map_words import GROUP_GROUND
from woodlot.say.words import NBSP, cut_short

__all__ = ["legend", "notes", "pages"]

MOST_ROWS, MOST_NOTES, YEARS = 20, 6, 5


def pages(layers: dict[str, Any]) -> str:
    """One page for each parcel, for print: sentence, map, legend, rows and notes."""
    return "".join(_page(layers, parcel, f"p{i}-") for i, parcel in enumerate(layers["parcels"]))


def _page(layers: dict[str, Any], parcel: dict[str, Any], prefix: str) -> str:
    head, asked = layers["head"], layers["questions"]
    left = f"<b>{escape(head['name'])}</b> · winter {escape(head['winter'])}"
    right = f"{escape(parcel['name'])}, {escape(parcel['acres'])} · {escape(head['made'])}"
    parts = [f'<section class="parcel-page" id="{prefix}page"><header><span>{left}</span><span>{right}</span></header>']
    for q in asked:
        finding = parcel["said"][q["key"]]
        words = f'<h2>{escape(finding["head"])}</h2><p class="sub">{escape(finding["sub"])}</p>'
        parts.append(f'<div class="ask ask-{q["key"]} block">{words}</div>')
    parts.append(map_on_paper.parcel_svg(layers, parcel["id"], [q["key"] for q in asked], 520.0, prefix, YEARS))
    parts += [
        f'<div class="ask ask-{q["key"]} block">{legend(q, parcel)}{_rows(q, parcel)}{_mind(q)}</div>' for q in asked
    ]
    parts.append(_notes(layers, parcel))
    where = "".join(f"{escape(c)}. " for c in parcel["contacts"])
    where += f"{escape(parcel['walked'])} " if parcel["walked"] else ""
    parts.append(f'<p class="end">{where}{escape(head["foot"])} {escape(head["cord"])}</p></section>')
    return "".join(parts)


def legend(question: dict[str, Any], parcel: dict[str, Any]) -> str:
    """The steps of a question that this parcel holds, as an HTML list."""
    out = []
    for i in parcel["here"][question["key"]]:
        if i < 0:
            out.append(f'<li><span class="swatch hatched"></span>{escape(question["hatched"])}</li>')
        else:
            step = question["steps"][i]
            look = f'style="background:{step["fill"]};color:{step["ink"]}"'
            out.append(f'<li><span class="swatch" {look}>{escape(step["letter"])}</span>{escape(step["text"])}</li>')
    if parcel["shut"]:
        out.append(f'<li><span class="swatch shut"></span>{escape(parcel["shut"])}</li>')
    if parcel["around"]:
        out.append(f'<li><span class="group-line"></span>{GROUP_GROUND}</li>')
    return f'<ul class="legend-print">{"".join(out)}</ul>'


def _mind(question: dict[str, Any]) -> str:
    return f'<p class="end">{escape(question["mind"])}</p>' if question["mind"] else ""


def _rows(question: dict[str, Any], parcel: dict[str, Any]) -> str:
    rows = parcel["said"][question["key"]]["rows"]
    body = "".join(
        f"<tr><td>{escape(i)}</td><td>{escape(cover)}</td><td><b>{escape(bold)}</b>{NBSP}{escape(rest)}</td></tr>"
        for i, cover, bold, rest in rows[:MOST_ROWS]
    )
    more = len(rows) - MOST_ROWS
    tail = f'<p class="end">and {more} more stands; the report has them all.</p>' if more > 0 else ""
    head = f"<tr><th>stand</th><th>cover</th><th>{escape(question['column'])}</th></tr>"
    return f"<table><thead>{head}</thead><tbody>{body}</tbody></table>{tail}"


def notes(layers: dict[str, Any], parcel_id: str) -> list[dict[str, Any]]:
    """A parcel's notes of the last five years, newest first."""
    years = layers["years"][-YEARS:]
    mine = [n for n in layers["notes"] if n["parcel"] == parcel_id and n["year"] in years]
    return sorted(mine, key=lambda n: n["iso"], reverse=True)


def _notes(layers: dict[str, Any], parcel: dict[str, Any]) -> str:
    mine = notes(layers, parcel["id"])[:MOST_NOTES]
    if not mine:
        return ""
    rows = "".join(f"<tr><td>{escape(n['date'])}</td><td>{escape(cut_short(n['title'], 110))}</td></tr>" for n in mine)
    return f"<table><thead><tr><th>date</th><th>note</th></tr></thead><tbody>{rows}</tbody></table>"
