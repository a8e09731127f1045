"""The least a family can start with: one outline, one stand, six prism plots, kinds and diameters. Nothing on deer."""

from pathlib import Path

import numpy as np
from recipe.frame import Sheet, write_csv, write_geojson, write_text
from recipe.otter_trees import first_plots
from shapely.geometry import Polygon

__all__ = ["write_first_forty"]

SHEET = Sheet(-88.962, 45.871)
OUTLINE = Polygon([(0, 0), (1308, -9), (1319, 1311), (4, 1322)])
WOODED = Polygon([(0, 0), (1308, -9), (1316, 970), (1180, 1010), (1175, 1312), (4, 1322)])
PLOTS = [(260, 300), (690, 285), (1110, 310), (250, 880), (680, 900), (1090, 850)]

PLACE_TOML = """\
# The Wendt forty is INVENTED. It shows the least that gives useful answers: an outline, one stand, six plots.
# Drawn by sample_parcels/make_samples.py.

name = "Wendt forty"
region = "lake_states"
"""


def write_first_forty(folder: Path) -> None:
    """Write the whole place."""
    write_text(folder / "place.toml", PLACE_TOML)
    write_geojson(
        folder / "parcels.geojson",
        "parcels",
        [{"parcel_id": "forty", "deed_acres": 40, "geometry": SHEET.to_degrees(OUTLINE)}],
    )
    words = {"stand_id": "1", "cover": "northern hardwoods"}
    write_geojson(folder / "stands.geojson", "stands", [words | {"geometry": SHEET.to_degrees(WOODED)}])
    names = [str(i + 1) for i in range(len(PLOTS))]
    plots = [{"plot_id": n, "stand_id": "1", "date": "2026-11-07", "baf_sqft_per_ac": 10} for n in names]
    write_csv(folder / "plots.csv", list(plots[0]), plots)
    write_csv(folder / "trees.csv", ["plot_id", "species", "dbh_in"], first_plots(names, np.array(PLOTS, float)))
