"""The map and the tables inside a notebook.

explore(answers, parcels, stands, features)     the whole map page, shown in the cell
parcels_table(answers), stands_table(answers)   tables with numbers, ranges and reasons

Each gives a small object that a notebook shows by itself; ``str()`` of it is the HTML.
"""

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from woodlot.answers.types import Answers
from woodlot.estimate import Number
from woodlot.map import page
from woodlot.map.map_words import amount, figures, has_range, range_level
from woodlot.say.words import NBSP, capital

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Shown", "explore", "parcels_table", "stands_table"]

_LOOK = (
    "<style>.woodlot-table{border-collapse:collapse;font:14px Arial,'Liberation Sans',sans-serif;"
    "font-variant-numeric:tabular-nums}.woodlot-table th,.woodlot-table td{border-bottom:1px solid #C9C4B4;"
    "padding:4px 14px 4px 0;text-align:left;vertical-align:top}.woodlot-table th{font-weight:normal;color:#575C52}"
    ".woodlot-table .r{text-align:right}</style>"
)


@dataclass(frozen=True)
class Shown:
    """A piece of HTML that a notebook shows."""

    html: str

    def _repr_html_(self) -> str:
        return self.html

    def __str__(self) -> str:
        return self.html


def explore(
    answers: Answers,
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame | None" = None,
    height_px: int = 680,
) -> Shown:
    """The map page of ``woodlot.map.page`` in a frame of its own; it fetches nothing there either.

    Parameters
    ----------
    answers, parcels, stands, features
        As for ``woodlot.map.page.html``.
    height_px
        Height of the frame in pixels. Narrower than 900 px the page takes its phone layout.
    """
    inside = escape(page.html(answers, parcels, stands, features), quote=True)
    title = escape(f"Map of {answers.name}", quote=True)
    look = f"width:100%;height:{int(height_px)}px;border:1px solid #1E221C"
    return Shown(
        f'<iframe srcdoc="{inside}" title="{title}" style="{look}" '
        f'sandbox="allow-scripts allow-downloads" allow="geolocation"></iframe>'
    )


def _table(head: list[tuple[str, bool]], rows: list[list[str]]) -> Shown:
    def cells(tag: str, words: list[str]) -> str:
        right = [" class='r'" if number else "" for _, number in head]
        return "".join(f"<{tag}{r}>{w}</{tag}>" for w, r in zip(words, right, strict=True))

    body = "".join(f"<tr>{cells('td', row)}</tr>" for row in rows)
    top = f"<thead><tr>{cells('th', [escape(name) for name, _ in head])}</tr></thead>"
    return Shown(f"{_LOOK}<table class='woodlot-table'>{top}<tbody>{body}</tbody></table>")


def _number(estimate: Number) -> str:
    if estimate.value is None:
        return escape(estimate.why or "no number")
    tail = range_level(estimate) if has_range(estimate) else "no range"
    return f"<b>{figures(estimate.value)}</b>{NBSP}({escape(tail)})"


def parcels_table(answers: Answers) -> Shown:
    """One row a parcel: acres beside the deed's, miles from home, cords on measured ground with their range."""
    numbers = ("acres", "deed", "miles from home", "full cords")
    head = [("parcel", False), *((name, True) for name in numbers), ("", False)]
    rows = [
        [
            escape(p.name),
            amount(p.acres, 1),
            amount(p.deed_acres, 1) if p.deed_acres else "",
            amount(p.miles_from_home, 1) if p.miles_from_home is not None else "",
            _number(p.cords),
            escape("; ".join(p.contacts)),
        ]
        for p in answers.parcels
    ]
    return _table(head, rows)


def stands_table(answers: Answers, parcel_id: str | None = None) -> Shown:
    """One row a stand (of one parcel, if named): cover, acres, cords an acre and in all, plots, what may be cut."""
    numbers = ("acres", "cords an acre", "cords", "plots")
    head = [("stand", False), ("cover", False), *((name, True) for name in numbers), ("this winter", False)]
    rows = [
        [
            escape(s.stand_id),
            escape(capital(s.cover)),
            amount(s.acres, 1),
            _number(s.cords_per_ac),
            _number(s.cords),
            amount(s.plots) if s.plots else "none",
            escape(s.cut.words),
        ]
        for s in answers.stands
        if parcel_id is None or s.parcel_id == parcel_id
    ]
    return _table(head, rows)
