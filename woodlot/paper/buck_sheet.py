"""A sheet to carry to the saw: each tree to fell, its cuts from the butt up, on half a Letter page that fits a pocket.

html(told)     the page, from ``story.felling.felling``; it fetches nothing and prints black on white
"""

from collections.abc import Iterable
from functools import cache
from html import escape
from importlib.resources import files
from typing import Any

from woodlot.say import words
from woodlot.story.felling import posts_words

__all__ = ["html"]

#: Trees past this number are left to the table that --csv writes.
MOST = 400
SHADES = {"sawlog": "#000", "pole": "#666", "post": "#aaa", "bolt": "#ddd"}


@cache
def _css() -> str:
    return (files("woodlot") / "paper" / "buck_sheet.css").read_text(encoding="utf-8")


def html(told: dict[str, Any]) -> str:
    """The buck sheet as one HTML page.

    told: answer of ``story.felling.felling``. Lengths are measured along the stem from the stump cut to the cut, feet
    and inches. Trees that are not for hand felling stand first, in a box. Returns the page.
    """
    sheet = told["sheet"]
    by_hand = [row for row in sheet if not row["why"]]
    away = told["not_by_hand"]
    longest = max((row["height_ft"] for row in by_hand), default=1.0)
    rows = "".join(_row(row, longest) for row in by_hand[:MOST])
    more = f"<p>{len(by_hand) - MOST} more trees are in the table.</p>" if len(by_hand) > MOST else ""
    heads = ("tree", "what", "cuts, feet and inches from the stump cut", "done")
    head = "<thead><tr>" + "".join(f"<th>{one}</th>" for one in heads) + "</tr></thead>"
    table = f"<table>{head}<tbody>{rows}</tbody></table>{more}" if rows else "<p>Fell nothing.</p>"
    return (
        "<!doctype html><html lang='en'><head><meta charset='utf-8'>"
        "<meta name='viewport' content='width=device-width, initial-scale=1'>"
        f"<title>Buck sheet, {escape(told['name'])}</title><style>{_css()}</style></head><body>"
        f"<h1>{escape(_title(len(by_hand)))}</h1>"
        f"<p class='lead'>{escape(told['name'])}, {escape(words.month_day_year(told['as_of']))}. "
        "Trim and saw cut are in the feet. Read the thin end before you cut: the stem in hand is right, this sheet is "
        "a guess from its diameter and height.</p>"
        f"{_not_by_hand(away)}{table}{_posts(told)}{_cautions(told['cautions'])}</body></html>"
    )


def _title(count: int) -> str:
    return "Fell nothing" if not count else f"Fell {count} tree{'s' if count != 1 else ''}"


def _row(row: dict[str, Any], longest: float) -> str:
    where = f", stand {escape(row['stand_id'])}" if row["stand_id"] else ""
    what = (
        f"<b>{escape(row['species'])}</b><br><span class='small'>{row['dbh_in']:.1f} in, "
        f"{row['height_ft']:.0f} ft{where}</span>"
    )
    cuts = _words(row["cuts"], row["rest"])
    return (
        f"<tr><td class='n'>{escape(row['tree'])}</td><td class='t'>{what}</td>"
        f"<td>{cuts}{_bar(row, longest)}</td><td><span class='box'></span></td></tr>"
    )


def _words(cuts: list[dict[str, Any]], rest: str) -> str:
    """The pieces in words; like pieces one after another are told once."""
    if not cuts:
        return f"all for {rest}"
    said, at = [], 0.0
    for cut in cuts:
        if cut["from_ft"] - at > 1e-6:
            said.append(f"{rest} to {_feet(cut['from_ft'])}")
        name = f"{cut['product']} {cut['length_ft']:g} ft"
        said.append(f"<b>{escape(name)}</b> to {_feet(cut['to_ft'])} ({cut['small_end_in']:.1f} in)")
        at = cut["to_ft"]
    return "; ".join([*said, f"rest {rest}"])


def _feet(feet: float) -> str:
    """Feet and whole inches: 16 ft 4 in."""
    whole = round(feet * 12)
    return f"{whole // 12}′{whole % 12}″" if whole % 12 else f"{whole // 12}′"


def _bar(row: dict[str, Any], longest: float) -> str:
    """The stem lying with its butt to the left: pieces filled, the rest open; drawn to one scale on the page."""
    scale = 200.0 / longest
    long = (row["height_ft"] - 1.0) * scale
    parts = [f"<path d='M0 1 L{long:.1f} 6 L{long:.1f} 7 L0 12 Z' fill='none' stroke='#000' stroke-width='.7'/>"]
    for cut in row["cuts"]:
        x, width = cut["from_ft"] * scale, (cut["to_ft"] - cut["from_ft"]) * scale
        fill = _shade(cut["product"])
        thin = 5.0 * (1.0 - (x + width) / max(long, 1.0)) + 0.5
        thick = 5.0 * (1.0 - x / max(long, 1.0)) + 0.5
        right, low, high = x + width, 6.5, 6.5
        parts.append(
            f"<path d='M{x:.1f} {low - thick:.1f} L{right:.1f} {low - thin:.1f} L{right:.1f} {high + thin:.1f} "
            f"L{x:.1f} {high + thick:.1f} Z' fill='{fill}' stroke='#fff' stroke-width='.8'/>"
        )
    return f"<svg class='bar' viewBox='0 0 201 13' preserveAspectRatio='xMinYMid meet'>{''.join(parts)}</svg>"


def _shade(product: str) -> str:
    told = product.replace("board feet", "sawlog").replace("veneer", "sawlog")
    return next((shade for kind, shade in SHADES.items() if kind in told), SHADES["bolt"])


def _not_by_hand(rows: list[dict[str, Any]]) -> str:
    if not rows:
        return ""
    names = ", ".join(f"{row.get('tree') or row['position'] + 1} ({row['species']}, {row['why']})" for row in rows)
    return f"<div class='no'><b>Not for hand felling without a professional:</b> {escape(names)}.</div>"


def _posts(told: dict[str, Any]) -> str:
    said = posts_words(told["posts"], "†")
    return f"<p>{escape(said)}{' † from memory.' if '†' in said else ''}</p>" if said else ""


def _cautions(told: Iterable[str]) -> str:
    return "<div class='caution'>" + "".join(f"<p>{escape(one)}</p>" for one in told) + "</div>"
