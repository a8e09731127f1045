"""Write the sample places again, to the same bytes:  python sample_parcels/make_samples.py [FOLDER]

FOLDER is where otter_lake/ and first_forty/ go; left out, they are written beside this file.
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from recipe import otter_deer, otter_ground, otter_trees  # noqa: E402
from recipe.first_forty import write_first_forty  # noqa: E402
from recipe.frame import write_csv, write_geojson, write_text  # noqa: E402
from recipe.otter_books import BUILDS, PLACE_TOML, write_ledger  # noqa: E402
from recipe.otter_rasters import write_rasters  # noqa: E402

COLUMNS = {
    "plots": "plot_id stand_id line date kind baf_sqft_per_ac radius_ft slope_pct checked_count lon lat",
    "trees": "plot_id tree species dbh_in height_ft merch_ft logs_16ft count count_twice cull_pct alive quality",
    "cores": "stand_id tree species dbh_in years growth_in",
    "tally": "tree parcel_id stand_id species dbh_in height_ft merch_ft logs_16ft cull_pct sweep_pct alive quality "
    "defect_from_ft defect_to_ft mark",
    "pellets": "plot_id line date radius_ft groups days parcel_id lon lat",
    "browse": "plot_id line date species stems browsed parcel_id lon lat",
    "seedlings": "plot_id date species radius_ft under_1ft from_1_to_3ft from_3_to_5ft over_5ft",
    "counts": "date method station hours bucks spikes does fawns unknown bucks_known baited",
    "bag": "year sex_age age_yr number dressed_lb hours parcel_id",
    "winters": "winter points scale",
    "builds": "build piece number product length_ft top_in",
    "words": "about written meant",
}


def write_otter_lake(folder: Path) -> None:
    """Write the whole place."""
    write_text(folder / "place.toml", PLACE_TOML)
    for name, rows in (
        ("parcels", otter_ground.parcels()),
        ("stands", otter_ground.stands()),
        ("features", otter_ground.features()),
    ):
        shapes = [
            row | {"geometry": otter_ground.outward(otter_ground.SHEET.to_degrees(row["geometry"]))} for row in rows
        ]
        write_geojson(folder / f"{name}.geojson", name, shapes)
    plots, trees = otter_trees.plots_and_trees()
    tables = {"plots": plots, "trees": trees, "cores": otter_trees.cores(), "tally": otter_trees.tally()}
    tables |= {"words": otter_trees.words(), "builds": BUILDS}
    tables |= {
        name: getattr(otter_deer, name)() for name in ("pellets", "browse", "seedlings", "counts", "bag", "winters")
    }
    for name, rows in tables.items():
        write_csv(folder / f"{name}.csv", COLUMNS[name].split(), rows)
    write_ledger(folder / "ledger.csv")
    write_rasters(folder)


if __name__ == "__main__":
    to = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    write_otter_lake(to / "otter_lake")
    write_first_forty(to / "first_forty")
