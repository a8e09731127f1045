"""The report's page on what the house wants: the list that fell and cut show, and what is said of it."""

from html import escape
from typing import Any

from woodlot.answers.as_json import as_json
from woodlot.answers.types import Answers
from woodlot.paper.pages import page
from woodlot.say.column import texts
from woodlot.say.tables import WANTS
from woodlot.say.wants import SIZES

__all__ = ["wants_pages"]

#: Rows of the list on a page.
MOST = 24


def wants_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """The list in the family's order, what heat it holds and what is late; no page where nothing is wanted."""
    wants = answers.wants or ()
    columns = texts(WANTS, {"wants": [as_json(one) for one in wants]})
    head = "".join(f"<th{_right(of.right)}>{escape(of.head)}</th>" for of in columns)
    rows = [
        "<tr>" + "".join(f"<td{_right(of.right)}>{escape(of.cells[at])}</td>" for of in columns) + "</tr>"
        for at in range(len(wants))
    ]
    said = [one.words for one in wants if one.mmbtu is not None or one.late]
    said += [SIZES] if any(one.build for one in wants) else []
    words = "".join(f"<p style='margin-bottom:4px'>{escape(one)}</p>" for one in said)
    label = "class='scroll' tabindex='0' role='region' aria-label='What the house wants'"
    out = []
    for first in range(0, len(rows), MOST):
        table = f"<div {label}><table><tr>{head}</tr>{''.join(rows[first : first + MOST])}</table></div>"
        last = words if first + MOST >= len(rows) else ""
        out.append(page(layers, "what the house wants", f"<h1>{WANTS.title}</h1>{table}{last}", foot))
    return out


def _right(is_right: bool) -> str:
    return " class='r'" if is_right else ""
