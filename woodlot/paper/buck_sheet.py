"""A sheet to carry to the saw: each tree to fell, its cuts from the butt up, on half a Letter page that fits a pocket.

html         the page; it fetches nothing and prints black on white
trees_table  its trees alone; not_by_hand_box: those for people who know the work
"""

from collections.abc import Sequence
from datetime import date
from functools import cache
from html import escape
from importlib.resources import files

from woodlot.answers.fell_types import Cut, FellAnswer, FellWords, SheetTree
from woodlot.say.fell import GRADES, SHEET, best_grade, cut_short
from woodlot.say.words import month_day_year
from woodlot.trade import SAWN

__all__ = ["html", "not_by_hand_box", "trees_table"]

#: Trees past this number are left to the table that --csv writes.
MOST = 400
SHADES = {"sawlog": "#000", "pole": "#666", "post": "#aaa", "bolt": "#ddd"}


@cache
def _css() -> str:
    return (files("woodlot") / "paper" / "buck_sheet.css").read_text(encoding="utf-8")


def html(answer: FellAnswer, words: FellWords) -> str:
    """The buck sheet as one HTML page.

    Lengths are measured along the stem from the stump cut to the cut, feet and inches. Trees that are not for hand
    felling stand first, in a box.
    """
    by_hand = [tree for tree in answer.sheet if not tree.why]
    more = f"<p>{len(by_hand) - MOST} more trees are in the table.</p>" if len(by_hand) > MOST else ""
    table = f"{trees_table(by_hand[:MOST])}{more}" if by_hand else "<p>Fell nothing.</p>"
    return (
        "<!doctype html><html lang='en'><head><meta charset='utf-8'>"
        "<meta name='viewport' content='width=device-width, initial-scale=1'>"
        f"<title>Buck sheet, {escape(answer.name)}</title><style>{_css()}</style></head><body>"
        f"<h1>{escape(_title(len(by_hand)))}</h1>"
        f"<p class='lead'>{escape(answer.name)}, {month_day_year(date.fromisoformat(answer.as_of))}. "
        f"{SHEET} {GRADES}</p>"
        f"{not_by_hand_box(words.not_by_hand)}{table}{_also(words)}"
        f"{_posts(words.posts)}{_cautions(answer.cautions)}</body></html>"
    )


def trees_table(trees: Sequence[SheetTree], longest_ft: float = 0.0) -> str:
    """Trees with their cuts and a box to tick; longest_ft: height to which all stems are drawn."""
    longest = longest_ft or max((tree.height_ft for tree in trees), default=1.0)
    heads = ("tree", "what", "cuts, feet and inches from the stump cut", "done")
    head = "<thead><tr>" + "".join(f"<th>{one}</th>" for one in heads) + "</tr></thead>"
    return f"<table class='buck'>{head}<tbody>{''.join(_row(tree, longest) for tree in trees)}</tbody></table>"


def _title(count: int) -> str:
    return "Fell nothing" if not count else f"Fell {count} tree{'s' if count != 1 else ''}"


def _row(tree: SheetTree, longest: float) -> str:
    where = f", stand {escape(tree.stand_id)}" if tree.stand_id else ""
    size = f"{tree.dbh_in:.1f} in, {tree.height_ft:.0f} ft{where}"
    size += "" if tree.short is None else f"<br>{escape(cut_short(**vars(tree.short)))}"
    return (
        f"<tr><td class='n'>{escape(tree.tree)}</td>"
        f"<td class='t'><b>{escape(tree.species)}</b><br><span class='small'>{size}</span></td>"
        f"<td>{_cuts(tree.cuts, tree.rest)}{_bar(tree, longest)}</td><td><span class='box'></span></td></tr>"
    )


def _cuts(cuts: Sequence[Cut], rest: str) -> str:
    """The pieces from the butt up, each with the feet to its cut."""
    if not cuts:
        return f"all for {rest}"
    pieces, at = [], 0.0
    for cut in cuts:
        if cut.from_ft - at > 1e-6:
            pieces.append(f"{rest} to {_feet(cut.from_ft)}")
        name = f"{'sawlog' if cut.product in SAWN else cut.product} {cut.length_ft:g} ft"
        what = ", ".join(filter(None, (f"{cut.small_end_in:.1f} in", best_grade(cut.grade), _whose(cut))))
        pieces.append(f"<b>{escape(name)}</b> to {_feet(cut.to_ft)} ({escape(what)})")
        at = cut.to_ft
    return "; ".join([*pieces, f"rest {rest}"])


def _whose(cut: Cut) -> str:
    """What a piece is for; a log nobody asked for is for the pile."""
    if cut.asked or not cut.grade:
        return f"for {cut.purpose}" if cut.purpose else ""
    return "for the pile"


def _also(words: FellWords) -> str:
    """Heat, logs for the pile and logs that are burnt."""
    told = " ".join(filter(None, (words.heat, words.surplus, words.burnt)))
    return f"<p>{escape(told)}</p>" if told else ""


def _feet(feet: float) -> str:
    """Feet and whole inches: 16 ft 4 in."""
    whole = round(feet * 12)
    return f"{whole // 12}′{whole % 12}″" if whole % 12 else f"{whole // 12}′"


def _bar(tree: SheetTree, longest: float) -> str:
    """The stem lying with its butt to the left: pieces filled, the rest open; drawn to one scale on the page."""
    scale = 200.0 / longest
    long = (tree.height_ft - 1.0) * scale
    parts = [f"<path d='M0 1 L{long:.1f} 6 L{long:.1f} 7 L0 12 Z' fill='none' stroke='#000' stroke-width='.7'/>"]
    for cut in tree.cuts:
        x, width = cut.from_ft * scale, (cut.to_ft - cut.from_ft) * scale
        fill = _shade(cut.product)
        thin = 5.0 * (1.0 - (x + width) / max(long, 1.0)) + 0.5
        thick = 5.0 * (1.0 - x / max(long, 1.0)) + 0.5
        right, low, high = x + width, 6.5, 6.5
        parts.append(
            f"<path d='M{x:.1f} {low - thick:.1f} L{right:.1f} {low - thin:.1f} L{right:.1f} {high + thin:.1f} "
            f"L{x:.1f} {high + thick:.1f} Z' fill='{fill}' stroke='#fff' stroke-width='.8'/>"
        )
    return f"<svg class='bar' viewBox='0 0 201 13' preserveAspectRatio='xMinYMid meet'>{''.join(parts)}</svg>"


def _shade(product: str) -> str:
    name = "sawlog" if product in SAWN else product.replace("veneer", "sawlog")
    return next((shade for kind, shade in SHADES.items() if kind in name), SHADES["bolt"])


def not_by_hand_box(trees: str) -> str:
    """Trees that are not for hand felling, in a box; "" where there are none."""
    heading = "<b>Not for hand felling without a professional:</b>"
    return f"<div class='no'>{heading} {escape(trees)}</div>" if trees else ""


def _posts(posts: str) -> str:
    return f"<p>{escape(posts)}{' † from memory.' if '†' in posts else ''}</p>" if posts else ""


def _cautions(cautions: Sequence[str]) -> str:
    return "<div class='caution'>" + "".join(f"<p>{escape(one)}</p>" for one in cautions) + "</div>"
