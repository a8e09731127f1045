"""The tables and the GeoPackage of a plan: standing wood and the cut apart, and a place where little is known."""

import datetime as dt
import io
import json
from dataclasses import replace

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest

from woodlot import place
from woodlot.answers.tables import table_files
from woodlot.answers.whole import answers
from woodlot.season import season

DAY = dt.date(2026, 11, 25)


def stands_written(planned, folder):
    """stands.csv and the stands of plan.gpkg, both by stand, with the answers they come from."""
    told = answers(planned)
    files = table_files(planned, told)
    table = pd.read_csv(io.StringIO(str(files["tables/stands.csv"])), dtype={"stand_id": str}).set_index("stand_id")
    (folder / "plan.gpkg").write_bytes(bytes(files["plan.gpkg"]))
    return told, table, gpd.read_file(folder / "plan.gpkg", layer="stands").set_index("stand_id")


def test_the_tables_of_a_plan_keep_standing_wood_and_the_cut_apart(samples, shelf, tmp_path):
    """Cords are what stands, cut_cords what may be cut, each with the value of the answers."""
    told, table, layer = stands_written(shelf.season(shelf.read(samples / "otter_lake", as_of=DAY)), tmp_path)
    compared = {"cords": 0, "cut_cords": 0}
    for stand in told.stands:
        for column, estimate in (("cords", stand.cords), ("cut_cords", stand.cut.cords)):
            found = table.loc[stand.stand_id, column]
            if estimate is None or estimate.value is None:
                assert np.isnan(found)
            else:
                assert found == pytest.approx(estimate.value)
                compared[column] += 1
    assert compared["cords"] > 10 and compared["cut_cords"] >= 1
    assert layer["cords"].to_numpy(dtype=float) == pytest.approx(table.loc[layer.index, "cords"], nan_ok=True)


def test_a_number_that_is_none_is_never_written(samples, shelf):
    """Not a number is no JSON: the plan stops rather than write it."""
    planned = shelf.season(shelf.read(samples / "otter_lake", as_of=DAY))
    told = answers(planned)
    wrong = replace(told, totals=replace(told.totals, this_winter_cords=float("nan")))
    with pytest.raises(ValueError, match="not JSON compliant"):
        table_files(planned, wrong)


@pytest.mark.parametrize("plots", [3, 0])
def test_a_place_with_nothing_to_cut_or_no_plot_is_planned_whole(tmp_path, plots):
    """Three plots with a tree each, far under what a stand keeps; then none: files are written all the same."""
    ring = [[-90.0, 46.0], [-89.995, 46.0], [-89.995, 46.0036], [-90.0, 46.0036], [-90.0, 46.0]]
    for name, told in (("parcels", {"parcel_id": "1"}), ("stands", {"stand_id": "1", "cover": "northern hardwoods"})):
        shape = {"type": "Polygon", "coordinates": [ring]}
        one = {"type": "Feature", "properties": told, "geometry": shape}
        (tmp_path / f"{name}.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [one]}))
    (tmp_path / "place.toml").write_text('name = "Thin ground"\nregion = "lake_states"\n')
    rows = [f"{k},1,2026-10-01,10" for k in range(plots)]
    (tmp_path / "plots.csv").write_text("\n".join(["plot_id,stand_id,date,baf_sqft_per_ac", *rows]) + "\n")
    trees = [f"{k},sugar maple,{10 + k}" for k in range(plots)]
    (tmp_path / "trees.csv").write_text("\n".join(["plot_id,species,dbh_in", *trees]) + "\n")
    told, table, layer = stands_written(season(place.read(tmp_path, as_of=DAY)), tmp_path)
    assert not told.stands[0].cut.this_winter
    assert {"cords", "cords_low", "cords_high"} <= set(layer.columns)
    assert ("cords" in table and table.loc["1", "cords"] > 0) == bool(plots)


def test_a_plan_without_any_stand_has_its_tables_and_its_parcels(samples, tmp_path):
    """No stand drawn: stands.csv is without rows, the GeoPackage holds the parcels and no layer of stands."""
    read = place.read(samples / "first_forty", as_of=DAY)
    bare = season(replace(read, **{name: getattr(read, name).iloc[:0] for name in ("stands", "plots", "trees")}))
    files = table_files(bare, answers(bare))
    (tmp_path / "plan.gpkg").write_bytes(bytes(files["plan.gpkg"]))
    layers = set(gpd.list_layers(tmp_path / "plan.gpkg")["name"])
    assert "parcels" in layers and "stands" not in layers
    assert not str(files["tables/stands.csv"]).strip()
