"""Otter Lake, the books: place.toml and the notes of three years."""

from pathlib import Path

from recipe import otter_ground as land
from recipe.frame import read_rows, write_text

from woodlot import ledger

__all__ = ["BUILDS", "PLACE_TOML", "notes", "write_ledger"]

_LON, _LAT = land.SHEET.lonlat(*land.HOME)

PLACE_TOML = f"""\
# Otter Lake woods is INVENTED: the lake, the land, the trees, the deer and the people. It was drawn by
# sample_parcels/make_samples.py so that every command has something to work on. Do not cut or hunt by it.

name = "Otter Lake woods"
region = "lake_states"

[home]
lon = {_LON:.6f}
lat = {_LAT:.6f}

[choices]
log_rule = "international_quarter"
solid_cuft_per_cord = 79
level = 0.90
division = "210"
cord_breaks = [13, 18, 24]

[needs]
firewood_cord = 7        # the house and the sauna
firewood_low_cord = 5.5
firewood_high_cord = 8.5
firewood_of = "red oak; sugar maple"
dry_cord = 4.5           # under the roof already
posts = 12
poles = 4
sawlogs = 8
chips_cuyd = 20
meat_lb = 120
clear = ["shed"]         # the new shed's ground: these trees fall anyway; the barn's may wait

[deer]
goal = "hold"
leaf_off = 2025-10-28
neighbor_bucks_per_sqmi = 1.6   # from the unit's figures, as the family asked for them
neighbor_does_per_sqmi = 0.2
farmland_pct = 4

[limits]
days_of_work_per_yr = 16
tags_buck = 3
tags_doe = 1

[[wants]]
product = "post"
number = 30
purpose = "garden fence"
asked = 2026-09-01
by = 2028-05-01

[[builds]]
name = "bean trellis"
number = 2
purpose = "garden"
asked = 2026-04-01
by = 2027-05-15
"""

BUILDS = [
    {"build": "bean trellis", "piece": "upright", "number": 4, "product": "pole", "length_ft": 8, "top_in": 2.5},
    {"build": "bean trellis", "piece": "rail", "number": 2, "product": "pole", "length_ft": 10, "top_in": 2.5},
]


def _spot(x, y):
    lon, lat = land.SHEET.lonlat(x, y)
    return round(float(lon), 6), round(float(lat), 6)


def notes() -> list[dict]:
    """What was done and seen, autumn 2023 to autumn 2026, oldest first."""
    rows = []
    for told in read_rows("otter_notes.csv", ("stand_id",)):
        x, y = told.pop("east_ft"), told.pop("north_ft")
        lon, lat = _spot(x, y) if x is not None else (None, None)
        rows.append(told | {"lon": lon, "lat": lat, "corrects": None})
    # One slip and its mending: the last line says which one it replaces.
    wrong = next(i for i, row in enumerate(rows) if row["date"] == "2026-03-14")
    rows.append(
        rows[wrong] | {"amount": 1.5, "text": "ash: a cord and a half, not two and a half", "corrects": wrong + 1}
    )
    return rows


def write_ledger(file: Path) -> None:
    """The notes as lines of the ledger, each written on its own day, and the seal beside it."""
    ids = [ledger.derived_id("otter lake", number) for number in range(1, len(notes()) + 1)]
    lines = [
        ledger.line_cells(
            row
            | {"line": number, "id": ids[number - 1], "written": row["date"]}
            | {"corrects": row["corrects"] and ids[row["corrects"] - 1]}
        )
        for number, row in enumerate(notes(), start=1)
    ]
    write_text(file, ledger.heading_line() + "".join(map(ledger.row_text, lines)))
    write_text(file.with_name(ledger.SEAL), ledger.seal_text(lines, begin=True))
