"""The page of the report that puts this plan beside the last one, where one is kept.

since_pages   number, then, now, what moved it
"""

from datetime import date
from html import escape
from typing import Any

from woodlot.answers.types import Answers, Moved
from woodlot.paper.pages import page
from woodlot.say import since_plan, words

__all__ = ["since_pages"]


def since_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """One page with every number that is followed, or none."""
    plan = answers.changed.plan
    if plan is None:
        return []
    told = since_plan.row(date.fromisoformat(plan.day), plan.numbers, plan.words)
    shown = since_plan.moved(plan.numbers)
    rows = "".join(_row(one, one in shown) for one in plan.numbers)
    head = "<tr><th>number</th><th class='r'>then</th><th class='r'>now</th><th>what moved it</th></tr>"
    still = [f"<p class='small'>{escape(line)}</p>" for line in plan.words if line not in map(since_plan.line, shown)]
    inside = f"<h1>{escape(f'{told.number} {told.range}')}</h1><p class='sub'>{escape(since_plan.HOW)}</p>"
    inside += f"<table>{head}{rows}</table><div style='margin-top:8px'>{''.join(still)}</div>"
    return [page(layers, f"since {words.day(date.fromisoformat(plan.day))}", inside, foot)]


def _row(of: Moved, shown: bool) -> str:
    then, now = (escape(since_plan.value(one, of.unit)) for one in (of.then, of.now))
    name = f"{escape(of.title)}<br><span class='gray'>{escape(of.unit)}</span>"
    by = escape(since_plan.by_words(of)) if shown else "<span class='gray'>did not move</span>"
    return f"<tr><td>{name}</td><td class='r'>{then}</td><td class='r'><b>{now}</b></td><td>{by}</td></tr>"
