"""The deer on paper: the rows of the hunt's screen, the next forest, what the number rests on, what to mind.

deer_page     all of it, the same words as on the screens
"""

from collections.abc import Iterable
from html import escape
from typing import Any

from woodlot.answers.types import Answers
from woodlot.deer.answer import Deer
from woodlot.estimate import Number
from woodlot.map.map_words import amount, has_range, range_only
from woodlot.paper.pages import page, row
from woodlot.say.deer import Fact, topic_row
from woodlot.say.hunt import first_screen
from woodlot.say.measure_deer import next_words
from woodlot.say.next_forest import FOREST, forest_all
from woodlot.say.words import BEFORE_HUNT, capital

__all__ = ["deer_page"]

#: Rows of the hunt's screen that stand further down on paper.
BELOW = ("Browse", "Measure")


def deer_page(answers: Answers, layers: dict[str, Any], foot: str) -> str:
    """Number, take, chances, meat, the next forest, what the number rests on, what to measure, what to mind."""
    return page(layers, "deer", _deer(answers.deer), foot)


def _deer(deer: Deer[Number, str]) -> str:
    above = [one for one in first_screen(deer) if one.topic not in BELOW]
    forest = f"<h2>{FOREST}</h2><p>{escape(' '.join(forest_all(deer.forest)))}</p>" if deer.forest else ""
    rows = "".join(map(_row, [*above, topic_row("Measure", next_words(deer))]))
    mind = _paragraphs(deer.cautions)
    below = f"<h2>{BEFORE_HUNT}</h2><div class='caution long'>{mind}</div>" if mind else ""
    return f"<h1>Deer</h1>{rows}<div class='rows-end'></div>{forest}{_rests_on(deer)}{_browsed(deer)}{below}"


def _row(fact: Fact) -> str:
    number, _, ends = fact.number.rstrip(".").partition(" (")
    return row(fact.topic, capital(number), ends.rstrip(")"), fact.why)


def _rests_on(deer: Deer[Number, str]) -> str:
    """Each count with what it does to the number, and how they fit together."""
    together = deer.evidence.together.words
    counts = [f"{capital(one.what)}: {one.words.removesuffix('.')}." for one in deer.evidence.rows if one.words]
    rest = [one for one in (deer.take.neighbors_words, together) if one and one not in deer.words]
    told = _paragraphs([" ".join(counts), *rest])
    return f"<h2>What the number rests on</h2><div class='small'>{told}</div>" if counts or rest else ""


def _browsed(deer: Deer[Number, str]) -> str:
    """Stems by class: counted, browsed, and what that says."""
    if not deer.browse:
        return ""
    rows = "".join(
        f"<tr><td class='nowrap'>{escape(b.preference)}</td><td class='r'>{amount(b.stems)}</td>"
        f"<td class='r'>{_percent(b.browsed_pct)}</td><td>{escape(b.words)}</td></tr>"
        for b in deer.browse
    )
    head = "<tr><th>stems</th><th class='r'>counted</th><th class='r'>browsed</th><th>in words</th></tr>"
    return f"<h2>{escape(deer.impact.words or 'Stems looked at for browse')}</h2><table>{head}{rows}</table>"


def _paragraphs(told: Iterable[str]) -> str:
    return "".join(f"<p>{escape(one)}</p>" for one in told)


def _percent(estimate: Number) -> str:
    if estimate.value is None:
        return "no number"
    tail = f" ({range_only(estimate, 0)})" if has_range(estimate) else ""
    return f"<b>{amount(estimate.value)}%</b>{tail}"
