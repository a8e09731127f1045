"""The year's plan as pages to print, one HTML file that fetches nothing.

html(answers, parcels, stands, features)    the whole report as text; same inputs, same bytes
"""

from html import escape
from typing import TYPE_CHECKING, Any

from woodlot.answers.types import Answers
from woodlot.map import layers, offline
from woodlot.paper.back_pages import charts_page, method_page
from woodlot.paper.deer_page import deer_page
from woodlot.paper.house_page import wants_pages
from woodlot.paper.older_page import older_pages
from woodlot.paper.pages import all_parcels, answers_page
from woodlot.paper.parcel_pages import parcel_page
from woodlot.paper.since_page import since_pages
from woodlot.paper.winter_pages import buck_pages, winter_pages
from woodlot.paper.wood_pages import fullness_pages, futures_page, job_pages, structure_pages
from woodlot.paper.years_page import years_pages
from woodlot.say.words import FROM_MEMORY
from woodlot.trade import PAPERS, known

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["html"]

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


def html(
    answers: Answers,
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame | None" = None,
    paper: str = "letter",
    drawn: dict[str, Any] | None = None,
) -> str:
    """The report: answers, this winter, all parcels, what moved, one page a parcel, the house, what to cut, the years
    to come, the next hundred years, older notes, deer, charts, sources and method.

    Parameters
    ----------
    answers
        All that was answered for the place: ``jobs`` and ``charts`` make pages where they hold something.
    parcels, stands, features
        Geo frames in longitude and latitude.
    paper
        "letter" or "a4".
    drawn
        ``map.layers.build`` of these, where it is there already.

    Returns
    -------
    str, HTML in UTF-8.

    Raises
    ------
    InputError
        For an unknown paper, or a parcel without an outline.
    """
    size = PAPERS[known(paper, PAPERS, "paper")].one
    drawn = drawn or layers.build(answers, parcels, stands, features)
    odds, level = drawn["head"]["odds"], round(100 * answers.level)
    foot = f"Ranges hold the truth {odds} ({level}%) unless it says “assumptions”. {drawn['head']['cord']}"
    foot += f" {FROM_MEMORY}"
    body = [answers_page(answers, drawn, foot), all_parcels(answers, drawn, foot)]
    body += since_pages(answers, drawn, foot)
    body += [parcel_page(answers, drawn, p["id"], i, foot) for i, p in enumerate(drawn["parcels"])]
    body[1:1] = winter_pages(answers, drawn, foot)
    body += wants_pages(answers, drawn, foot)
    body += job_pages(answers, drawn, foot) + buck_pages(answers, drawn, foot) + fullness_pages(answers, drawn, foot)
    body += structure_pages(answers, drawn, foot) + years_pages(answers, drawn, foot)
    body += futures_page(answers, drawn, foot)
    body += older_pages(answers, drawn, foot)
    body += [deer_page(answers, drawn, foot), charts_page(answers, drawn, foot), method_page(answers, drawn, foot)]
    title = f"{answers.name}: plan for winter {answers.winter}"
    out = (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><title>{escape(title)}</title>'
        f"<style>{offline.own('report.css', 'paper')}{_sheet(size, foot)}</style></head>\n<body><main>\n"
    )
    return offline.finished(out + "\n".join(body) + "\n</main></body></html>\n")


def _sheet(size: str, foot: str) -> str:
    """The page rule: size, margins, and the foot line with page n of m."""
    small = "font:12px Arial,'Liberation Sans',sans-serif;color:#575C52;vertical-align:top;padding-top:6px;"
    small += "border-top:1px solid #C9C4B4"
    words = foot.replace("\\", "").replace('"', "”")
    return (
        f"@page{{size:{size} portrait;margin:.55in .6in .8in;"
        f'@bottom-left{{content:"{words}";width:84%;text-align:left;{small}}}'
        f'@bottom-right{{content:"page " counter(page) " of " counter(pages);width:16%;text-align:right;{small}}}}}'
    )
