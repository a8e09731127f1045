"""Pages on what to cut: how full the stands are, the structure of uneven-aged ones, and the job of this winter.

fullness_pages    each stand by its guide: today, if it is thinned, in 10 and 20 years
structure_pages   uneven-aged stands: trees by size beside the structure to keep
job_pages         one sheet a stand that is cut this winter, to take along
futures_page      what the next hundred years may bring if all is cut that may be
"""

from collections.abc import Sequence
from html import escape
from typing import Any

from woodlot.answers.chart_types import Full, Job, JobSize, Structure
from woodlot.answers.future_types import Futures
from woodlot.answers.stand_types import Stand
from woodlot.answers.types import Answers
from woodlot.estimate import is_wide
from woodlot.map.map_words import amount, figures
from woodlot.paper import stand_figures as charts
from woodlot.paper.pages import half, page
from woodlot.say.words import NO_PARCEL, capital, listed, noun
from woodlot.trade import THIN

__all__ = ["fullness_pages", "futures_page", "job_pages", "structure_pages"]

#: The same limits as stocking_bands.csv, where they are marked as chosen.
ZONES = ((40.0, "room to grow"), (60.0, "well filled"), (80.0, "full"), (1e9, "crowded"))
ROWS_A_PAGE, CHARTS_A_PAGE, JOBS = 26, 8, 12
#: Lines of trees beside which charts have room, and on a sheet at most; lines of trees and words under charts, and on a
#: sheet without; letters of a line of words in one of two columns.
MOST_LINES, MOST_TREES, CHARTED_LINES, LINES_A_PAGE, LETTERS_A_LINE = 12, 24, 22, 36, 52
#: Why no range is drawn for a stand with so few plots.
NONE = {how: how if how == "empty plots" else f"{how}, about" for how in THIN}
#: The same of one with more whose range is wide.
WIDE = "about"


def _parts(rows: Sequence[Any], most: int) -> list[Sequence[Any]]:
    """Rows in parts of about equal length, none longer than ``most``."""
    if not rows:
        return []
    count = -(-len(rows) // most)
    size = -(-len(rows) // count)
    return [rows[i : i + size] for i in range(0, len(rows), size)]


def _name(stand: Stand, layers: dict[str, Any]) -> str:
    parcel = next((p["name"] for p in layers["parcels"] if p["id"] == stand.parcel_id), NO_PARCEL)
    return f"{capital(stand.cover)}, {parcel}"


def fullness_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """How full each stand is by the guide of its cover; nothing where the plan holds no such figures."""
    full = answers.charts.fullness
    if not full:
        return []
    of = {f.stand_id: f for f in full}
    rows = [_full_row(s, of.get(s.stand_id), layers) for s in answers.stands]
    oak = any(f.guide == "oak lines" for f in full)
    guides = "oak by its guide lines, all others by relative density" if oak else "by relative density"
    memory = any("memory" in f.keep_seen for f in full)
    caption = f"Percent of a full stand ({guides}). Limits at 40, 60, 80: our choice."
    after = "Thinned: down to what the stand should keep, a third at most. Later: middle growth, no other cut."
    note = " What pine and oak should keep is from memory†: ask your forester." if memory else ""
    out = []
    for i, part in enumerate(_parts(rows, ROWS_A_PAGE)):
        head = f"<h1>{escape(_finding(rows))}</h1>" if i == 0 else "<h2>How full the stands are, continued</h2>"
        chart = f"<div class='scroll'>{charts.fullness(part, ZONES, f'f{i}-')}</div>"
        below = f"<p class='small' style='margin-top:8px'>{escape(after + note)}</p>"
        out.append(page(layers, "how full", f"{head}<p class='caption'>{escape(caption)}</p>{chart}{below}", foot))
    return out


def _full_row(stand: Stand, full: Full | None, layers: dict[str, Any]) -> charts.FullRow:
    plots = stand.stocking_pct
    wide = is_wide(plots.value, plots.low, plots.high)
    sid, name, none = stand.stand_id, _name(stand, layers), NONE.get(stand.how, WIDE if wide else "not measured")
    if full is None:
        return charts.FullRow(sid, name, none)
    value = full.today_pct
    low = high = None
    if plots.value and plots.low and plots.high and not wide:
        low, high = value * plots.low / plots.value, value * plots.high / plots.value
    later = full.in_10_pct, full.in_20_pct
    return charts.FullRow(sid, name, none, value, low, high, full.keep_pct, full.after_pct, later)


def _finding(rows: list[charts.FullRow]) -> str:
    """Which stands are crowded: is, probably or may be, as their ranges say."""
    limit = ZONES[2][0]
    full = [r for r in rows if r.value is not None and r.value >= limit]
    sure = [r.id for r in full if r.low is not None and r.low >= limit]
    likely = [r.id for r in full if r.low is not None and r.low < limit]
    perhaps = [r.id for r in full if r.low is None]
    out = []
    for ids, one, many in (
        (sure, "is crowded", "are crowded"),
        (likely, "is probably crowded", "are probably crowded"),
        (perhaps, "may be crowded", "may be crowded"),
    ):
        if ids:
            out.append(f"{noun(len(ids), 'stand')} {listed(ids)} {noun(len(ids), one, many)}")
    return capital("; ".join(out)) if out else "No stand is crowded"


def futures_page(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """The next hundred years of the family's own stands; nothing where the plan holds none."""
    told = answers.totals.futures
    if told is None:
        return []
    words = "".join(f"<p style='margin-top:6px'>{escape(line)}</p>" for line in told.words)
    table = _futures_table(told) if told.ways else ""
    return [page(layers, "a hundred years", f"<h1>The next hundred years</h1>{words}{table}", foot)]


def _futures_table(told: Futures) -> str:
    """Each way to go: chances, stock in years to come, cut."""
    years = [then.in_yr for then in told.ways[0].stock[1:]]
    led = told.goal_cords is not None and told.goal_cords < told.stock_cords  # a fuller wood is led down
    rows = ""
    for way in told.ways:
        shares = (way.under_20_pct, way.under_50_pct, way.under_100_pct, *((way.under_today_50_pct,) if led else ()))
        under = (f"{share:.1f}" for share in shares)
        stock = (f"<b>{t.middle_pct:.0f}</b> ({t.low_pct:.0f} to {t.high_pct:.0f})" for t in way.stock[1:])
        cut = map(figures, (way.cords_per_yr_1_to_50, way.cords_per_yr_51_to_100))
        cells = "".join(f"<td class='r nowrap'>{cell}</td>" for cell in (*under, *stock, *cut))
        rows += f"<tr><td>{amount(way.growth_pct)}%</td><td class='nowrap'>{escape(way.cruises)}</td>{cells}</tr>"
    of_today = ("of today's, in 50",) if led else ()
    heads = ("in 20", "in 50", "in 100", *of_today, *(f"stock in {year}" for year in years), "cut 1 to 50", "51 to 100")
    head = "<th>growth</th><th>cruises</th>" + "".join(f"<th class='r'>{one}</th>" for one in heads)
    caption = (
        f"Growth over what is assumed; when the woods are cruised again; percent of {told.number} futures under 85 "
        "percent in so many years; stock then as a percent of today's, with its range; cords cut a year."
    )
    return f"<h2>All ways to go</h2><p class='caption'>{caption}</p><table class='small'><tr>{head}</tr>{rows}</table>"


def structure_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """Uneven-aged stands beside the structure to keep, with the trees to take."""
    stands = {s.stand_id: s for s in answers.stands}
    some = [s for s in answers.charts.structures or () if s.stand_id in stands]
    out = []
    for i, part in enumerate(_parts(some, CHARTS_A_PAGE)):
        boxes = "".join(_structure(s, stands[s.stand_id], layers, f"u{i}{j}-") for j, s in enumerate(part))
        caption = (
            "Live trees an acre by diameter in inches. White stays, hatched would go if the stand were thinned now, "
            "the stepped line is the structure to keep. Largest trees and nut trees are kept before the line is."
        )
        head = f"<h1>Trees by size in uneven-aged stands</h1><p class='caption'>{caption}</p>"
        out.append(page(layers, "trees by size", f"{head}<div class='half'>{boxes}</div>", foot))
    return out


def _structure(of: Structure, stand: Stand, layers: dict[str, Any], prefix: str) -> str:
    mark = " †" if "memory" in of.seen else ""
    keep = f"To keep: {amount(of.leave_sqft_per_ac)} sq ft an acre, q {of.q:g}{mark}."
    title = f"Stand {of.stand_id}: {_name(stand, layers)}"
    chart = charts.structure(of.classes, prefix=prefix)
    return f"<div><h2>{escape(title)}</h2><p class='caption'>{escape(keep)} {escape(_take(of))}</p>{chart}</div>"


def _take(structure: Structure) -> str:
    """How many trees an acre would go, the commonest kinds first."""
    whole = sum(c.take for c in structure.classes)
    if whole < 0.5:
        return "No tree to take now."
    of: dict[str, float] = {}
    for row in structure.guide:
        of[row.species] = of.get(row.species, 0.0) + row.cut
    first = sorted((k for k in of if of[k] >= 0.5), key=lambda k: (-of[k], k))[:3]
    kinds = ", ".join(f"{amount(of[k])} {k}" for k in first)
    return f"To take: {amount(whole)} trees an acre ({kinds})." if kinds else f"To take: {amount(whole)} trees an acre."


def job_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """One sheet a stand that is cut this winter: what to take by size and kind, what to keep, what to mind."""
    stands = {s.stand_id: s for s in answers.stands}
    of = {s.stand_id: s for s in answers.charts.structures or ()}
    jobs = [j for j in answers.jobs if j.stand_id in stands][:JOBS]
    out = []
    for i, job in enumerate(jobs):
        parts = _by_lines([c for c in job.classes if c.cut >= 0.5])
        few = len(parts) == 1 and sum(_lines(c) for c in parts[0]) <= MOST_LINES
        if sum(_lines(c) for c in parts[-1]) + _word_lines(job) > (CHARTED_LINES if few else LINES_A_PAGE):
            parts.append([])
        charted = _job_charts(job, of.get(job.stand_id), i) if few else ""
        name = _name(stands[job.stand_id], layers)
        for k, taken in enumerate(parts):
            inside = _job(job, name, taken, charted, first=k == 0, last=k == len(parts) - 1)
            out.append(page(layers, f"stand {job.stand_id}", inside, foot))
    return out


def _lines(size: JobSize) -> int:
    """Lines that a size takes in the list of trees."""
    return 1 + len(size.species) // 85


def _word_lines(job: Job) -> int:
    """Lines of the list of trees that the words under it take, in two columns, and the cautions in one."""
    two = [sum(1 + len(text) // LETTERS_A_LINE for text in texts) for texts in (_order(job), job.after or ())]
    return sum(-(-lines // 2) for lines in two) + sum(1 + len(text) // (2 * LETTERS_A_LINE) for text in job.cautions)


def _order(job: Job) -> list[str]:
    """In which order trees go, what stands apart, and what to keep."""
    return [*(job.marking or ()), *(f"Keep {kept}." for kept in job.keep)]


def _by_lines(taken: list[JobSize]) -> list[list[JobSize]]:
    """Sizes in parts that each fit on one sheet."""
    parts: list[list[JobSize]] = [[]]
    for size in taken:
        if parts[-1] and sum(_lines(c) for c in [*parts[-1], size]) > MOST_TREES:
            parts.append([])
        parts[-1].append(size)
    return parts


def _job(job: Job, name: str, taken: list[JobSize], charted: str, first: bool, last: bool) -> str:
    rows = "".join(
        f"<tr><td class='r'><b>{c.class_in}</b></td><td class='r'>{amount(c.now)}</td>"
        f"<td class='r'><b>{amount(c.cut)}</b></td><td>{escape(c.species)}</td></tr>"
        for c in taken
    )
    right = "".join(f"<th class='r'>{w}</th>" for w in ("inches", "trees now", "take"))
    acres = f"On the {amount(job.acres, 1)} acres that are worked. Leave every other size and kind."
    table = f"<table class='trees'><tr>{right}<th>of these kinds</th></tr>{rows}</table>"
    head = f"<h2>Which trees, continued</h2>{table}" if taken else "<h2>In which order, and what to mind</h2>"
    if first:
        head = (
            f"<h1>Stand {escape(job.stand_id)}: about {amount(job.trees_to_cut)} trees this winter</h1>"
            f"<p class='sub'>{escape(name)}</p><p>{escape(job.words.partition(': ')[2] or job.words)}</p>"
            f"{charted}<h2>Which trees</h2><p class='caption'>{acres}</p>{table}"
        )
    if not last:
        return head
    order, mind = (_paragraphs(texts) for texts in (_order(job), job.cautions))
    after = f"<h2>What comes after</h2><div class='reading'>{_paragraphs(job.after)}</div>" if job.after else ""
    return f"{head}<div class='reading' style='margin-top:6px'>{order}</div>{after}<div class='caution'>{mind}</div>"


def _paragraphs(texts: Sequence[str]) -> str:
    return "".join(f"<p>{escape(text)}</p>" for text in texts)


def _job_charts(job: Job, structure: Structure | None, number: int) -> str:
    """The stand on its guide and its trees by size, side by side."""
    out = ""
    if job.guide is not None:
        chart = charts.guide(job.guide, prefix=f"g{number}-")
        out += half("On its guide", "● today ▽ thinned ○ 10 □ 20 years on; sq ft by inches", chart)
    if structure is not None:
        chart = charts.structure(structure.classes, prefix=f"v{number}-")
        out += half("Trees by size", "Trees an acre by inches; hatched goes", chart)
    return f"<div class='half'>{out}</div>"
