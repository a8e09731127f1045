"""Real ground, real trees, whole: open data become a family's folder on disk and go through the verbs.

The northern Michigan plots are open data of the FoRTE project, University of Michigan Biological Station, CC BY 4.0
(Atkins and others). They lie beside this checkout, not in it; the tests skip aloud where they are absent.
"""

import json

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner
from pyproj import Transformer
from shapely.geometry import MultiPoint, Polygon, mapping

from woodlot.cli import main
from woodlot.land.parcels import local_crs
from woodlot.region import shipped
from woodlot.stand.cruise import estimates
from woodlot.stand.plots import limiting_distance_ft_prism, means, plot_sums

TOML = 'name = "{}"\nregion = "lake_states"\n'
#: Two names of the data have no row in our tables; what stands in for each is said here.
STAND_IN = {"unknown": "red maple", "serviceberry": "striped maple"}


def verb(*args):
    """JSON that a verb prints; it must end well."""
    done = CliRunner().invoke(main, [*[str(a) for a in args], "--json", "--as-of", "2026-11-25"])
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def write_place(folder, name, shape, plots, trees):
    """One parcel and one stand of the same outline, plots and trees, as a family would hand them in."""
    (folder / "place.toml").write_text(TOML.format(name))
    geometry = mapping(shape)
    for file, properties in (
        ("parcels", {"parcel_id": "ground", "name": name}),
        ("stands", {"stand_id": "1", "cover": "northern hardwoods"}),
    ):
        one = {"type": "Feature", "properties": properties, "geometry": geometry}
        (folder / f"{file}.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [one]}))
    plots.to_csv(folder / "plots.csv", index=False)
    trees.to_csv(folder / "trees.csv", index=False)
    return folder


@pytest.fixture
def michigan_place(open_data, tmp_path):
    """32 located plots of .1 ha as a place; the ground is all that lies near one of them."""
    sites = pd.read_csv(open_data / "forest_growth_umbs_plots.csv")
    plots = pd.DataFrame({"plot_id": sites["plot_id"], "stand_id": "1", "date": "2018-07-15", "kind": "fixed"})
    plots["radius_m"] = np.sqrt(sites["area_m2"] / np.pi)
    plots["lon"], plots["lat"] = sites["lon"], sites["lat"]
    stems = pd.read_csv(open_data / "forest_growth_umbs_trees.csv")
    stems = stems[stems["dbh_in"] >= 5.0]
    trees = pd.DataFrame({"plot_id": stems["plot_id"], "tree": stems["tag"], "dbh_in": stems["dbh_in"]})
    trees["species"] = stems["species"].str.lower().replace(STAND_IN)
    trees["alive"] = np.where(stems["health"] == "dead", "no", "yes")
    ground = MultiPoint(list(zip(sites["lon"], sites["lat"], strict=True))).buffer(0.003)
    return write_place(tmp_path, "Pellston plots", ground, plots, trees)


def test_the_michigan_plots_give_their_golden_values_through_cruise(michigan_place):
    """Basal area 144.44, SE 7.90, 228.8 trees an acre, 10.76 in, and the stand table, as the reference page has them.

    Source: forest_growth.md section 2 (derived there from the same data, plots as equal fixed plots).
    """
    told = verb("cruise", michigan_place)
    stand = told["stands"][0]
    assert stand["plots"] == 32 and stand["empty_plots"] == 0
    assert stand["basal_sqft_per_ac"]["value"] == pytest.approx(144.44, abs=0.005)
    assert stand["basal_se_sqft_per_ac"] == pytest.approx(7.90, abs=0.005)
    assert stand["trees_per_ac"]["value"] == pytest.approx(228.8, abs=0.05)
    assert stand["qmd_in"] == pytest.approx(10.76, abs=0.005)
    assert stand["dead_trees_per_ac"] == pytest.approx(29.97, abs=0.005)
    table = pd.DataFrame(told["stand_table"]).groupby("class_in")["trees_per_ac"].sum()
    printed = [62.47, 43.12, 38.82, 31.74, 23.78, 16.95, 7.97, 2.66, 1.01, 0.25]
    assert table.loc[6:24].to_numpy() == pytest.approx(printed, abs=0.005)


def test_the_michigan_plots_go_through_a_whole_plan(michigan_place):
    """Map, report and tables are written, and the cords an acre with their range are printed.

    No stand of this kind holds less than 20 or more than 80 cords an acre at 144 sq ft: 144 sq ft x about 25 ft of
    form height / 79 = 46.
    """
    told = verb("plan", michigan_place)
    cords = told["stands"][0]["cords_per_ac"]
    print(f"cords an acre: {cords['value']:.1f} ({cords['low']:.1f} to {cords['high']:.1f}, 90%)")
    assert 20 < cords["low"] < cords["value"] < cords["high"] < 80
    assert told["totals"]["cords"]["n"] == 32
    names = {p.name for p in (michigan_place / "out").iterdir()}
    assert {"map.html", "report.html", "answers.json", "plan.gpkg", "tables"} <= names


def test_a_cruise_of_a_real_stem_map_on_disk_is_the_one_in_memory(longleaf, tmp_path):
    """20 prism points in 584 mapped pines, edges walked through: files and functions give the same numbers.

    How often the range holds the census over 500 such cruises is shown in test_real_woods.py, by the same
    functions. The species has no row here; red pine stands in for it, which basal area does not notice.
    """
    side, rng = 200 / 0.3048, np.random.default_rng(5)
    stems = longleaf[longleaf["dbh_in"] >= 5.0].reset_index(drop=True)
    x, y = rng.uniform(0, side, (2, 20))
    dx, dy = stems["x_ft"].to_numpy() - x[:, None], stems["y_ft"].to_numpy() - y[:, None]
    point, stem = np.nonzero(np.hypot(dx, dy) <= limiting_distance_ft_prism(stems["dbh_in"].to_numpy(), 10.0))
    beyond = np.stack([x[point] + 2 * dx[point, stem], y[point] + 2 * dy[point, stem]])
    back = Transformer.from_crs(local_crs((-83.5, 30.9)), 4326, always_xy=True)
    lon, lat = back.transform(x, y)
    plots = pd.DataFrame(
        {"plot_id": [f"p{i}" for i in range(20)], "stand_id": "1", "date": "2020-03-01", "kind": "prism"}
    )
    plots["baf_sqft_per_ac"], plots["lon"], plots["lat"] = 10, lon, lat
    trees = pd.DataFrame(
        {"plot_id": [f"p{i}" for i in point], "tree": np.arange(len(point)) + 1, "species": "red pine"}
    )
    trees["dbh_in"] = stems["dbh_in"].to_numpy()[stem]
    trees["count_twice"] = np.where(((beyond < 0) | (beyond > side)).any(axis=0), "yes", "no")
    corners = [(0, 0), (side, 0), (side, side), (0, side), (0, 0)]
    ring = Polygon([back.transform(*c) for c in corners])
    told = verb("cruise", write_place(tmp_path, "Stem map", ring, plots, trees))["stands"][0]["basal_sqft_per_ac"]
    twice = trees.assign(count_twice=trees["count_twice"] == "yes")
    table, base = means(plot_sums(plots, twice, ["basal_sqft_per_ac"])), shipped("base")
    eye = {"eye": base.figure("defaults_sampling", "eye_cv")}  # nobody taped a point of these files
    one = estimates(table, "sq ft an acre", shared=eye, region=base)["1"]
    assert (told["value"], told["low"], told["high"]) == pytest.approx((one.value, one.low, one.high), rel=1e-9)
    census = (np.pi / 576 * stems["dbh_in"] ** 2).sum() / (side**2 / 43560)
    assert told["low"] < census < told["high"]
