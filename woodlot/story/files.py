"""The tables that a plan writes beside map and report: CSV for a spreadsheet, one GeoPackage for a desktop GIS.

table_files   name within out/ -> content
"""

import json
from typing import Any

import pandas as pd

from woodlot.place import geopackage
from woodlot.season import Season
from woodlot.story.views import flat

__all__ = ["table_files"]


def table_files(plan: Season, told: dict[str, Any]) -> dict[str, str | bytes]:
    """answers.json, plan.gpkg and tables/*.csv: unrounded numbers, units in the names, missing left empty."""
    told_stands = [
        s | {("cut_cords" if key == "cords" else key): value for key, value in s["cut"].items()} for s in told["stands"]
    ]
    frames = {
        "parcels": pd.DataFrame(flat(told["parcels"])),
        "stands": pd.DataFrame(flat(told_stands)),
        "species": pd.DataFrame(flat(told["species"])),
        "stand_table": plan.standing.table,
        "trees": plan.standing.trees,
        "contacts": plan.measured.contacts,
        "deer_springs": pd.DataFrame(flat(told["deer"]["years"])),
    }
    out: dict[str, str | bytes] = {
        "answers.json": json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    }
    out |= {f"tables/{name}.csv": frame.to_csv(index=False, lineterminator="\n") for name, frame in frames.items()}
    numbers = ["stand_id", "cords_per_ac", "cords", "cords_low", "cords_high", "basal_sqft_per_ac", "words"]
    stands = plan.measured.stands
    if len(frames["stands"]):
        stands = stands.merge(frames["stands"].reindex(columns=numbers), on="stand_id", how="left")
    layers = {"parcels": plan.measured.parcels, "stands": stands, "features": plan.place.features}
    out["plan.gpkg"] = geopackage({name: frame for name, frame in layers.items() if len(frame)}, plan.day)
    return out
