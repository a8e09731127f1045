"""The tables that a plan writes beside map and report: CSV for a spreadsheet, one GeoPackage for a desktop GIS.

table_files   name within out/ -> content
flat          answers as rows of a table
"""

import json
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

import pandas as pd

from woodlot.answers.as_json import as_json
from woodlot.answers.land import contacts_table
from woodlot.answers.types import Answers
from woodlot.answers.year_types import YearTold
from woodlot.place import csv_text, geopackage
from woodlot.say.cruise import HEIGHT_FLAGS, RATIO_FROM
from woodlot.season import Season

__all__ = ["flat", "table_files"]

#: Columns of a stand in the GeoPackage.
IN_LAYER = ["stand_id", "cords_per_ac", "cords", "cords_low", "cords_high", "basal_sqft_per_ac", "words"]

#: Keys in the table of trees -> their words.
WORDED = {"ratio_from": RATIO_FROM, "height_flag": HEIGHT_FLAGS}


def flat(answers: Sequence[Any]) -> list[dict[str, Any]]:
    """Answers of one kind as rows: an estimate as columns value, low and high, unit in the name; lists are left out."""
    return [_columns(as_json(answer)) for answer in answers]


def _columns(row: dict[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, dict) and {"value", "low", "high"} <= value.keys():
            out |= {key: value["value"], f"{key}_low": value["low"], f"{key}_high": value["high"]}
        elif not isinstance(value, (list, dict)):
            out[key] = value
    return out


def table_files(season: Season, answers: Answers) -> dict[str, str | bytes]:
    """answers.json, plan.gpkg and tables/*.csv: unrounded numbers, units in the names, missing left empty."""
    plain = as_json(answers)
    stand_rows = [
        stand | {("cut_cords" if key == "cords" else key): value for key, value in stand["cut"].items()}
        for stand in plain["stands"]
    ]
    frames = {
        "parcels": pd.DataFrame(flat(answers.parcels)),
        "stands": pd.DataFrame(flat(stand_rows)),
        "species": pd.DataFrame(flat(answers.species)),
        "stand_table": season.standing.table,
        "trees": season.standing.trees.replace(WORDED),
        "years": _years(answers),
        "contacts": contacts_table(season.measured),
        "deer_springs": pd.DataFrame(flat(answers.deer.years)),
    }
    out: dict[str, str | bytes] = {
        "answers.json": json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    }
    out |= {f"tables/{name}.csv": csv_text(frame) for name, frame in frames.items()}
    stands = season.measured.stands
    if len(frames["stands"]):
        stands = stands.merge(frames["stands"].reindex(columns=IN_LAYER), on="stand_id", how="left")
    layers = {"parcels": season.measured.parcels, "stands": stands, "features": season.place.features}
    out["plan.gpkg"] = geopackage({name: frame for name, frame in layers.items() if len(frame)}, season.day)
    return out


def _years(answers: Answers) -> pd.DataFrame:
    """A row a stand, year and way of the years told."""
    columns = ["stand_id", *(field.name for field in fields(YearTold))]
    rows = [{"stand_id": s.stand_id, **vars(one)} for s in answers.stands for one in s.years_told or ()]
    return pd.DataFrame(rows, columns=columns)
