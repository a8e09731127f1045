"""Where the figures of a plan come from, and which of them are from memory.

memory_and_sources   figures from memory, and all sources with their marks
"""

import pandas as pd

from woodlot.answers.types import Source
from woodlot.region import Region

__all__ = ["memory_and_sources"]

#: Tables that every plan rests on; their sources are named in the report, their rows from memory are marked.
TOPICS = (
    "volume_westfall_2024",
    "ratio_westfall_2024",
    "wood_properties_miles_2009",
    "height_diameter",
    "tree_bdft_wiant_1986",
    "beers_1964",
    "cord_solid",
    "defaults_tree",
    "defaults_stand",
    "defaults_tally",
    "defaults_cut",
    "cut_rules",
    "defaults_schedule",
    "growth_anchors",
    "growth_dbh_big_woods",
    "growth_mortality",
    "defaults_growth",
    "site_index_carmean_1989",
    "marking_species",
    "defaults_marking",
    "structures",
    "structure_arbogast_1957",
    "stocking_upper_lines",
    "job_months",
    "defaults_deer",
    "deer_defecation",
    "deer_herd_cases",
    "deer_home_range",
    "deer_browse_preference",
    "deer_meat_yield",
    "deer_weights",
    "deer_neighbor_take",
    "deer_browse_production",
    "deer_land_cover_browse",
    "deer_winter_loss",
    "wood_cautions",
    "water_strips",
    "water_leave",
    "defaults_water",
    "land_cover_codes",
    "slope_classes",
    "defaults_heating",
    "drying_rates",
    "defaults_drying",
    "climate_months",
    "decay_classes",
    "stoves",
    "fuels",
)


def memory_and_sources(region: Region) -> tuple[tuple[str, ...], tuple[Source, ...]]:
    """Figures from memory in the tables a plan rests on, and the sources of all of them with their marks."""
    marked, remembered = [], []
    for topic in TOPICS:
        frame = region.table(topic)
        marked.append(frame[["source", "seen"]])
        past = frame[frame["seen"] == "memory"]
        if len(past):
            label = next(
                (c for c in ("meaning", "what", "text", "species", "type", "name") if c in past), past.columns[0]
            )
            some = list(dict.fromkeys(past[label].astype(str)))
            remembered.append(f"{topic}: {'; '.join(some[:6])}{f'; and {len(some) - 6} more' if len(some) > 6 else ''}")
    marks = pd.concat(marked).drop_duplicates().groupby("source")["seen"].agg(lambda s: ", ".join(sorted(s)))
    books = region.table("sources").fillna("").set_index("key").to_dict("index")
    listed = tuple(Source(str(k), _cite(books[k]), str(seen)) for k, seen in marks.items() if k in books)
    return tuple(remembered), listed


def _cite(book: dict) -> str:
    year = str(book["year"]).removesuffix(".0")
    parts = [f"{book['author']} {year}".strip(), str(book["title"]), str(book["series"]), str(book["publisher"])]
    return ", ".join(p for p in parts if p) + "."
