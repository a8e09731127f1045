"""Two copies of a ledger joined, in words: how much came, what does not agree, and the command that settles it.

LINES      the lines of one clash, side by side
came       how many lines came, and how many both had
clashed    what one clash is
kept_old   where the ledger lies as it was
settling   what each command does
"""

from collections.abc import Mapping, Sequence
from typing import Any

from woodlot.say import words
from woodlot.say.column import Column, Table, plain, rows_of

__all__ = ["LINES", "came", "clashed", "kept_old", "settling"]


def _much(row: Mapping[str, Any]) -> str:
    which, unit = row["sex_age"], row["unit"]
    amount = float(row["amount"]) if row["amount"] else None
    if which and unit == "deer" and amount == 1:
        return which
    return ", ".join(filter(None, (which, words.noted(amount, unit, row["kind"]))))


LINES = Table(
    "lines",
    "",
    rows_of("lines"),
    (
        plain("line", "line"),
        plain("date", "day"),
        plain("kind", "kind"),
        Column("amount", "how much", _much),
        plain("who", "who"),
        Column("counts", "counts", lambda row: "yes" if row["counts"] else "no"),
        plain("text", "words", narrow=False),
    ),
)


def came(lines: int, same: int, ours: int) -> str:
    """How many lines came, how many both had, and a doubt where ours and theirs have nothing in common."""
    both = f"Both had {same:,} already." if same else "Both had none in common."
    if lines and ours and not same:
        both += " Is the other of these woods? If not, put the kept ledger back."
    return f"{words.plural(lines, 'line')} came. {both}" if lines else f"Nothing new came. {both}"


def kept_old(ledger: str, kept: str) -> str:
    """Where the ledger lies as it was before."""
    return f"{ledger} as it was before is kept as {kept}."


def clashed(kind: str, lines: Sequence[Mapping[str, Any]], text: str = "") -> str:
    """What one clash is, in a sentence or two."""
    numbers = " and ".join(str(one["line"]) for one in lines)
    if kind == "torn":
        return f"A line of the other is torn, and did not come: {text}"
    if kind == "may be one":
        return f"Lines {numbers} say the same. Both count: it may be two loads, or one noted twice."
    if kind == "says two things":
        return f"Line {lines[0]['line']} was changed by hand in one of the two. The change is line {lines[-1]['line']}."
    counts = ", ".join(str(one["line"]) for one in lines if one["counts"])
    until = f" Line {counts} counts until you settle it." if counts else " It is taken out until you settle it."
    return f"Lines {numbers} set the same line right in two ways.{until}"


def settling(kind: str, line: Mapping[str, Any]) -> str:
    """What the command beside a line does."""
    return "If it is one, take one out" if kind == "may be one" else f"To keep line {line['line']}"
