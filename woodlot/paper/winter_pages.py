"""Pages on this winter's work: the one list, and the trees of the tally with their cuts.

winter_pages   the list: what first, what for, how much, how long; its sum, what is met and what is short
buck_pages     the trees of the tally that fall, a box each to tick, after the sheets of the jobs
"""

from html import escape
from typing import Any

from woodlot.answers.types import Answers
from woodlot.answers.winter_types import ThisWinter, WinterTask
from woodlot.map.map_words import amount
from woodlot.paper.buck_sheet import not_by_hand_box, trees_table
from woodlot.paper.pages import page
from woodlot.say.fell import SHEET
from woodlot.say.words import plural, rounded
from woodlot.trade import PRODUCTS

__all__ = ["buck_pages", "winter_pages"]

TASKS_A_PAGE, TREES_A_PAGE, MOST_PAGES = 9, 15, 6
UNITS = {word.unit: word.unit for word in PRODUCTS.values()} | {"pieces": ""}


def winter_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """The list of this winter, in its order; nothing where nothing is to be done and no tree is marked."""
    work = answers.this_winter
    if work is None or not (work.tasks or work.marked_words):
        return []
    tasks = work.tasks
    parts = [tasks[i : i + TASKS_A_PAGE] for i in range(0, len(tasks), TASKS_A_PAGE)] or [()]
    out = []
    for at, part in enumerate(parts):
        head = "<h1>This winter, one list</h1>" if at == 0 else "<h2>This winter, continued</h2>"
        rows = "".join(_task(one) for one in part)
        body = f"<table class='list'>{_HEAD}{rows}{_sum(work) if at == len(parts) - 1 else ''}</table>" if part else ""
        tail = "" if at < len(parts) - 1 else _after(work)
        lead = f"<p class='sub'>{escape(answers.headline)}</p>" if at == 0 else ""
        out.append(page(layers, "this winter", f"{head}{lead}{body}{tail}", foot))
    return out


_HEAD = (
    "<tr><th></th><th>what, and what for</th><th class='r'>trees</th><th class='r'>cords</th>"
    "<th class='r'>of it for<br>the stove</th><th class='r'>board feet<br>in logs</th><th class='r'>days</th></tr>"
)


def _task(of: WinterTask) -> str:
    numbers = (amount(of.trees), *(rounded(n, "cords") for n in (of.cords, of.firewood_cords)))
    logs = rounded(of.bdft, "board feet") if of.bdft >= 0.5 else ""
    right = "".join(f"<td class='r'>{n}</td>" for n in (*numbers, logs, rounded(of.days, "days")))
    return (
        f"<tr><td><b>{of.order}</b></td><td><b>{escape(of.title)}</b>{escape(of.words.removeprefix(of.title))} "
        f"<span class='gray'>{escape(of.why)}</span></td>{right}</tr>"
    )


def _sum(work: ThisWinter) -> str:
    numbers = (amount(work.trees), *(rounded(n, "cords") for n in (work.cords, work.firewood_cords)))
    logs = rounded(work.bdft, "board feet") if work.bdft >= 0.5 else ""
    right = "".join(f"<td class='r'><b>{n}</b></td>" for n in (*numbers, logs, rounded(work.days, "days")))
    return f"<tr><td></td><td><b>In all</b></td>{right}</tr>"


def _after(work: ThisWinter) -> str:
    """The sum in sentences, what is wanted beside what it gets, and what stays marked."""
    said = "".join(f"<p>{escape(one)}</p>" for one in (work.words, work.marked_words) if one)
    if not work.wants:
        return f"<div style='margin-top:8px'>{said}</div>"
    rows = "".join(
        f"<tr><td>{escape(want.name)}</td><td>{escape(UNITS.get(want.unit, want.unit))}</td>"
        + "".join(
            f"<td class='r'>{_number(n, want.unit)}</td>"
            for n in (want.wanted, want.from_tally, want.from_plan, want.short)
        )
        + "</tr>"
        for want in work.wants
    )
    heads = "".join(f"<th class='r'>{w}</th>" for w in ("wanted", "the tally gives", "the plan gives", "short"))
    table = f"<h2>What it is for</h2><table><tr><th>wanted</th><th></th>{heads}</tr>{rows}</table>"
    return f"<div style='margin-top:8px'>{said}</div>{table}"


def _number(number: float, unit: str) -> str:
    if number <= 0:
        return "–"
    return f"{number:,.0f}" if unit == "pieces" else rounded(number, "cords")


def buck_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """Trees of the tally that fall, with their cuts; the first pages of many."""
    work = answers.this_winter
    trees = [] if work is None else [tree for tree in work.sheet if not tree.why]
    if work is None or not trees:
        return []
    longest = max(tree.height_ft for tree in trees)
    parts = [trees[i : i + TREES_A_PAGE] for i in range(0, len(trees), TREES_A_PAGE)]
    out = []
    for at, part in enumerate(parts[:MOST_PAGES]):
        lead = (
            f"<h1>{plural(len(trees), 'tree')} of the tally to fell</h1><p class='caption'>{escape(SHEET)}</p>"
            f"{not_by_hand_box(work.not_by_hand)}"
        )
        head = lead if at == 0 else "<h2>Trees of the tally, continued</h2>"
        last = at == min(len(parts), MOST_PAGES) - 1
        left = sum(map(len, parts[MOST_PAGES:]))
        more = f"<p>{plural(left, 'more tree')} on the sheet of the fell command.</p>" if last and left else ""
        mark = " † from memory." if "†" in work.posts else ""
        posts = f"<p class='small'>{escape(work.posts)}{mark}</p>" if last and work.posts else ""
        mind = dict.fromkeys(text for one in work.tasks if one.tree_names for text in one.cautions) if last else {}
        cautions = "".join(f"<p>{escape(text)}</p>" for text in mind)
        below = f"<div class='caution'>{cautions}</div>" if cautions else ""
        inside = f"{head}{trees_table(part, longest)}{more}{posts}{below}"
        out.append(page(layers, "trees of the tally", inside, foot))
    return out
