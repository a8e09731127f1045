"""The page that lies on top of a bundle: what everything in it is, for whoever opens it without woodlot.

parts    the page as titles, sentences and tables
html     as a page for a browser that fetches nothing, on a phone, a table and paper
text     as plain text, for the day no browser opens such a page
"""

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any, NamedTuple
from urllib.parse import quote

from woodlot.answers.types import Answers
from woodlot.column_kinds import UNIT_WORDS
from woodlot.map import offline
from woodlot.map.map_words import long_day, odds
from woodlot.say import bundle as say
from woodlot.say.ground import acres_behind
from woodlot.say.words import BEFORE_HUNT, rule
from woodlot.trade import SEX_AGE, UNITS

__all__ = ["html", "parts", "text"]

POLICY = "default-src 'none'; style-src 'unsafe-inline'"
WIDE = 96


class Grid(NamedTuple):
    """A table of words under its title; files: whether each row begins with the name of a file of ``data/``.

    A row of files with one cell more than the heading has beside its file what it is called.
    """

    title: str
    head: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    files: bool = False
    words: str = ""


class Part(NamedTuple):
    """A title, sentences, tables, sentences after them."""

    title: str
    lines: tuple[str, ...]
    grids: tuple[Grid, ...] = ()
    after: tuple[str, ...] = ()


def parts(
    answers: Answers,
    files: Mapping[str, int],
    listed: Sequence[Mapping[str, Any]],
    tree_words: Sequence[tuple[str, ...]],
    base: str,
    asked: str,
) -> list[Part]:
    """The page.

    Parameters
    ----------
    answers
        Of the place on that day.
    files
        Name within ``data/`` -> bytes.
    listed
        Columns of tables and keys of settings, as ``woodlot.columns.listing`` gives them.
    tree_words
        Word on a tree, its letter, what it means.
    base
        Name of the archive without its end.
    asked
        Options of the command that gives the same numbers.
    """
    day = long_day(answers.as_of)
    return [
        Part("", say.lead(answers.name, day), (Grid("Begin with", ("", ""), say.begin_with(files), True),)),
        _numbers(answers, day),
        Part("What every file is", ("All of them lie in the folder data.",), tuple(_files(files))),
        Part("What the columns mean", say.ABOUT_TABLES, tuple(_columns(files, listed))),
        Part("Words and codes", (), tuple(_words(tree_words))),
        *_ledger(files),
        _sources(answers),
        Part("Where it is on the map", say.ABOUT_MAPS),
        Part("Whether all of it is here", say.ABOUT_CHECKING),
        Part("Going on", (*say.go_on(base, asked), say.ABOUT_COPIES)),
    ]


def _ledger(files: Mapping[str, int]) -> list[Part]:
    lines = say.ABOUT_LEDGER + (say.ABOUT_SEAL if "ledger.seal" in files else ())
    return [Part("How the ledger is read", lines)] if "ledger.csv" in files else []


def _numbers(answers: Answers, day: str) -> Part:
    """The first screen of the report: the decision, the acres behind it, number by number."""
    t = answers.totals
    rows = [
        (row.title, row.number.rstrip(".") + (f" ({row.range})" if row.range else ""), " ".join(row.why.splitlines()))
        for row in answers.rows
    ]
    mind = " ".join(one.text for one in answers.deer_cautions or ())
    lines = (
        answers.headline,
        acres_behind(t.acres, t.acres_with_plots, t.acres_without, t.acres_no_parcel),
    )
    after = (
        f"A range holds the truth {odds(answers.level)} ({100 * answers.level:.0f}%) unless it says assumptions. A "
        f"full cord is counted as {answers.base.solid_cuft_per_cord:.4g} cubic feet of solid wood without bark. Board "
        f"feet are by the {rule(answers.base.log_rule)}.",
        *(f"Before you cut, {one.where}: {one.text}" for one in answers.cautions),
        *([f"{BEFORE_HUNT}: {mind}"] if mind else []),
        say.LATER,
    )
    return Part(f"The woods on {day}", lines, (Grid("", ("what", "number", "why"), rows),), after)


def _size(size: int) -> str:
    return f"{size / 1e6:,.1f} MB" if size >= 1e6 else f"{max(size / 1e3, 1):,.0f} KB"


def _files(files: Mapping[str, int]) -> Iterable[Grid]:
    made = [name for name in files if name.startswith("out/")]
    for title, names in (
        ("Of the family: measured, counted, written down, collected", [name for name in files if name not in made]),
        ("Worked out from them on this day", made),
    ):
        if names:
            rows = [(name, say.of_file(name), _size(files[name])) for name in names]
            yield Grid(title, ("file", "what it is", "size"), rows, True)


def _columns(files: Mapping[str, int], listed: Sequence[Mapping[str, Any]]) -> Iterable[Grid]:
    """A table for each table that is there, a row a column; the settings last."""
    named: dict[str, list[tuple[str, ...]]] = {}
    for row in listed:
        named.setdefault(str(row["table"]), []).append(
            (str(row["column"]), _meaning(row), UNIT_WORDS.get(row["unit"], row["unit"]))
        )
    stems = {name.split(".")[0].lower(): name for name in files if "/" not in name}
    for table, rows in named.items():
        if table in stems:
            yield Grid(stems[table], ("column", "what it says", "unit"), rows, words=say.of_file(stems[table]))
    settings = [row for table, rows in named.items() if table.startswith("[") for row in [(table, "", ""), *rows]]
    if settings:
        yield Grid("place.toml", ("key", "what it says", "unit"), settings, words=say.of_file("place.toml"))


def _meaning(row: Mapping[str, Any]) -> str:
    words = str(row["meaning"])
    if row["type"] not in ("text", "number", "whole number", "yes or no", "date", "list"):
        words += f": {row['type']}"
    return words + (f" (or in metric units, as {row['metric']})" if row["metric"] else "")


def _words(tree_words: Sequence[tuple[str, ...]]) -> Iterable[Grid]:
    yield Grid("Trade words", ("word", "what it means"), list(say.GLOSSARY))
    kinds = [(one.word, one.unit, one.also) for one in say.words_of_ledger()]
    yield Grid("Kinds of lines in the ledger", ("kind", "usual unit", "also written"), kinds)
    yield Grid("Units in the ledger", ("unit", "in words"), [(key, word.many) for key, word in UNITS.items()])
    yield Grid("Deer, in the column sex_age", ("word", "in words"), [(key, word.one) for key, word in SEX_AGE.items()])
    if tree_words:
        head = ("word", "letter", "also")
        yield Grid("Words on trees, in the column quality", head, list(tree_words))


def _sources(answers: Answers) -> Part:
    grids = []
    if answers.memory:
        grids.append(Grid("From memory, no source seen", ("figure",), [(one,) for one in answers.memory]))
    if answers.sources:
        rows = [(one.text, one.seen) for one in answers.sources]
        grids.append(Grid("Sources of the figures", ("source", "how"), rows))
    return Part("What is measured, and what is from books", say.ABOUT_MEASURED, tuple(grids))


def html(title: str, page: Sequence[Part]) -> str:
    """The page for a browser; it fetches nothing."""
    titled = [part for part in page if part.title]
    list_ = "".join(f"<li><a href='#{_mark(part.title)}'>{escape(part.title)}</a></li>" for part in titled)
    body = [_html(page[0]), f"<nav><h2>On this page</h2><ul>{list_}</ul></nav>", *(_html(part) for part in titled)]
    return offline.finished(
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><title>{escape(title)}</title>'
        f"<style>{offline.own('bundle_page.css', 'paper')}</style></head>\n<body><main>\n<h1>{escape(title)}</h1>\n"
        + "\n".join(body)
        + "\n</main></body></html>\n"
    )


def _mark(title: str) -> str:
    return "-".join(title.lower().replace(",", "").split())


def _html(part: Part) -> str:
    head = f"<h2 id='{_mark(part.title)}'>{escape(part.title)}</h2>" if part.title else ""
    grids = "".join(_grid(one, "h3" if part.title else "h2") for one in part.grids)
    return f"<section>{head}{_lines(part.lines)}{grids}{_lines(part.after)}</section>"


def _lines(lines: Sequence[str]) -> str:
    return "".join(f"<p>{escape(one)}</p>" for one in lines)


def _grid(grid: Grid, level: str) -> str:
    title = f"<{level}>{escape(grid.title)}</{level}>" if grid.title else ""
    words = f"<p class='words'>{escape(grid.words)}</p>" if grid.words else ""
    head = "".join(f"<th scope='col'>{escape(one)}</th>" for one in grid.head)
    head = f"<thead><tr>{head}</tr></thead>" if any(grid.head) else ""
    rows = "".join(_row(grid, row) for row in grid.rows)
    return f"{title}{words}<table class='{'-'.join(filter(None, grid.head))}'>{head}<tbody>{rows}</tbody></table>"


def _row(grid: Grid, row: tuple[str, ...]) -> str:
    at = len(row) - len(grid.head)
    first = escape(row[at]).replace("_", "_<wbr>").replace("/", "/<wbr>")
    if grid.files:
        first = f"<a href='data/{escape(quote(row[0]), quote=True)}'>{first}</a>"
    rest = "".join(f"<td>{escape(cell)}</td>" for cell in row[at + 1 :])
    return f"<tr><th scope='row'>{first}</th>{rest}</tr>"


def text(title: str, page: Sequence[Part]) -> str:
    """The page as plain text."""
    out = [title.upper(), ""]
    for part in page:
        out += ["", part.title.upper(), "=" * len(part.title), ""] if part.title else []
        for line in part.lines:
            out += [*textwrap.wrap(line, WIDE, break_long_words=False), ""]
        for grid in part.grids:
            out += [grid.title, "-" * len(grid.title)] if grid.title else []
            out += textwrap.wrap(grid.words, WIDE) if grid.words else []
            for row in grid.rows:
                said = " ".join(part if part.endswith(".") else f"{part}." for part in filter(None, row[1:]))
                name = f"data/{row[0]}" if grid.files else row[0]
                wrapped = f"{name}: {said}" if said else name
                out += textwrap.wrap(wrapped, WIDE, subsequent_indent="    ", break_long_words=False)
            out.append("")
        for line in part.after:
            out += [*textwrap.wrap(line, WIDE, break_long_words=False), ""]
    return "\n".join(out)
