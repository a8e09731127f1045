"""The first pages of the report: the answers, all parcels.

answers_page      the decision, its rows, what grows where
all_parcels       plan, parcels, totals and the two parts of their range
deer_mind         what to mind with deer, in short, where a page tells of them
page, half, row   the frame of a page; a chart under its title in half the width; a number beside its reason
brackets          a range in brackets
"""

from html import escape
from typing import Any

from woodlot.answers.types import Answers
from woodlot.estimate import Number
from woodlot.map import map_on_paper, printed
from woodlot.map.map_words import amount, figures, has_range, range_level, range_only
from woodlot.paper import figures as charts
from woodlot.say.ground import acres_behind
from woodlot.say.words import BEFORE_HUNT, NBSP, capital
from woodlot.trade import WISHES

__all__ = ["all_parcels", "answers_page", "brackets", "deer_mind", "half", "page", "row"]


def page(layers: dict[str, Any], right: str, inside: str, foot: str) -> str:
    """One page with its head line; ``right`` says which."""
    head = layers["head"]
    left = f"<b>{escape(head['name'])}</b> <span class='gray'>· plan for winter {escape(head['winter'])}</span>"
    top = f"<div class='top'><span>{left}</span><span class='gray'>{escape(right)}</span></div>"
    return f"<section class='page'>{top}{inside}<p class='foot'>{escape(foot)}</p></section>"


def half(title: str, caption: str, chart: str) -> str:
    """A chart under its title and caption."""
    return f"<div><h2>{escape(title)}</h2><p class='caption'>{escape(caption)}</p>{chart}</div>"


def _sentences(headline: str) -> tuple[str, str]:
    first, stop, rest = headline.partition(". ")
    return (first, rest) if stop else (headline.rstrip("."), "")


def answers_page(answers: Answers, layers: dict[str, Any], foot: str) -> str:
    """Page 1: a title that is the decision, the acres behind it, the rows, and what grows where."""
    title, rest = _sentences(answers.headline)
    t = answers.totals
    sub = f"{rest} {acres_behind(t.acres, t.acres_with_plots, t.acres_without, t.acres_no_parcel)}".strip()
    rows = "".join(row(r.title, r.number, r.range, r.why) for r in answers.rows)
    cover = "" if _many_words(answers) else _cover(answers, layers)
    end = f"<div class='rows-end'></div>{deer_mind(answers)}"
    inside = f"<h1>{escape(title)}</h1><p class='sub'>{escape(sub)}</p>{rows}{end}{cover}"
    return page(layers, layers["head"]["made"].removeprefix("made "), inside, foot)


def deer_mind(answers: Answers) -> str:
    """What to mind with deer, in short."""
    words = " ".join(one.text for one in answers.deer_cautions or ())
    return f"<p class='small'><b>{BEFORE_HUNT}:</b> {escape(words)}</p>" if words else ""


def _many_words(answers: Answers) -> bool:
    """Whether the rows fill page 1, so that what grows where goes to page 2."""
    return sum(len(r.why) + 60 for r in answers.rows) > 1000


def _cover(answers: Answers, layers: dict[str, Any]) -> str:
    acres = {s.stand_id: s.acres for s in answers.stands}
    everything = {"here": {"grows": list(range(len(layers["questions"][0]["steps"])))}, "shut": "", "around": []}
    head = "<h2>What grows where</h2><p class='caption'>Acres by stand. Hatched stands are not measured.</p>"
    bars = charts.cover_bars(layers, acres)
    return f"<div class='keep'>{head}{bars}{printed.legend(layers['questions'][0], everything)}</div>"


def row(title: str, number: str, range_: str, why: str) -> str:
    """The number and what it counts at the left, the title and the reason at the right."""
    large = "number long" if len(number) > 24 else "number"
    left = f"<p class='{large}'>{escape(number)}</p><p>{escape(capital(range_))}</p>"
    words = "".join(f"<p>{escape(line)}</p>" for line in why.splitlines() or [""])
    right = f"<h2>{escape(title)}</h2>{words}"
    return f"<div class='row'><div>{left}</div><div>{right}</div></div>"


def all_parcels(answers: Answers, layers: dict[str, Any], foot: str) -> str:
    """Page 2: how far apart the parcels lie, what each holds, the total and the two parts of its range, the deer."""
    drawn = {p["id"]: p for p in layers["parcels"]}
    rows = []
    for p in answers.parcels:
        known = drawn[p.parcel_id]
        cords = f"<b>{figures(p.cords.value)}</b> {brackets(p.cords)}" if p.cords.value else "no number"
        deed = amount(p.deed_acres, 1) if p.deed_acres else ""
        where = known["where"] if known["home"] or not known["contacts"] else f"{known['miles']}, {known['where']}"
        first = f"<td><b>{escape(known['name'])}</b></td><td class='r'>{amount(p.acres, 1)}</td>"
        rows.append(f"<tr>{first}<td class='r'>{deed}</td><td>{escape(where)}</td><td class='r'>{cords}</td></tr>")
    head = (
        "<tr><th>parcel</th><th class='r'>acres</th><th class='r'>deed</th><th>from home</th>"
        "<th class='r'>full cords on measured ground</th></tr>"
    )
    whole, plots_only = answers.totals.cords, answers.totals.cords_sampling_only
    acres = amount(sum(p.acres for p in answers.parcels), 1)
    cords = f"<b>{figures(whole.value)}</b> {brackets(whole)}"
    total = f"<tr><td><b>All</b></td><td class='r'><b>{acres}</b></td><td></td><td></td><td class='r'>{cords}</td></tr>"
    parts = ""
    if has_range(whole) and has_range(plots_only):
        parts = (
            f"<p class='small' style='margin-top:6px'>What plots can mend: {range_level(plots_only)}; the rest is "
            "what no plot can mend, mostly the volume table. Totals are rounded from the unrounded sum and may differ "
            "from the sum of what is shown.</p>"
        )
    meet = "".join(f"<p>{escape(c)}.</p>" for c in dict.fromkeys(c for p in layers["parcels"] for c in p["contacts"]))
    reasons = "".join(
        f"<p>{escape(p.name)}: no range; {escape(p.cords.why)}.</p>"
        for p in answers.parcels
        if p.cords.value is not None and not has_range(p.cords)
    )
    parts += f"<div class='small' style='margin-top:8px'>{reasons}{meet}</div>" if meet or reasons else ""
    plan = map_on_paper.plan_svg(layers, width=420, height=190)
    parts += _wishes(answers)
    title = escape(layers["head"]["acres"].replace(NBSP, " "))
    label = "class='scroll' tabindex='0' role='region' aria-label='All parcels'"
    inside = f"<h1>{title}</h1>{plan}<div {label}><table>{head}{''.join(rows)}{total}</table></div>{parts}"
    return page(layers, "all parcels", inside + (_cover(answers, layers) if _many_words(answers) else ""), foot)


def _wishes(answers: Answers) -> str:
    """The family's wishes, one a row, with what stands there; nothing where there is none."""
    if not answers.wished:
        return ""
    rows = "".join(
        f"<tr><td><b>{escape(capital(WISHES[w.wish].one))}</b></td><td>{escape(', '.join(w.stands))}</td>"
        f"<td class='r'>{amount(w.acres, 1)}</td><td class='r'>{_held(w.cords)}</td></tr>"
        for w in answers.wished
    )
    head = "<tr><th>your wish</th><th>stands</th><th class='r'>acres</th><th class='r'>full cords there</th></tr>"
    foot = "<p class='small'>Wood under a wish is part of the total; where nothing is cut it is in no cut.</p>"
    return f"<h2>Your wishes</h2><table>{head}{rows}</table>{foot}"


def _held(cords: Number) -> str:
    return f"<b>{figures(cords.value)}</b> {brackets(cords)}" if cords.value else "no number"


def brackets(estimate: Number) -> str:
    """The range in brackets, or that there is none."""
    ends = range_only(estimate)
    assumed = ", assumptions" if ends and estimate.kind == "assumptions" else ""
    return f"({ends or 'no range'}{assumed})"
