"""Every species of every list, from the tally to the stove: it works throughout, or it is refused at reading."""

import json
import shutil
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.region import names, shipped
from woodlot.stand import marking
from woodlot.tree import mass
from woodlot.tree.growth import anchors
from woodlot.wood import cords, drying

SAMPLE = Path(__file__).parent.parent / "sample_parcels" / "first_forty"
REGIONS = names()
STAND_INS = {
    "eastern redbud": "all hardwoods",
    "kentucky coffeetree": "all hardwoods",
    "staghorn sumac": "all hardwoods",
    "blue ash": "its genus",
    "southern red oak": "its genus",
    "flowering dogwood": "its genus",
}


def listed(region):
    """Species that a family may write in a region."""
    known = shipped(region).species
    return [s for s in known.listed if s not in known.without_bark]


#: One region in the quick half, all of them in the whole.
EACH = [one if one == "lake_states" else pytest.param(one, marks=pytest.mark.slow) for one in REGIONS]


@pytest.fixture(params=EACH)
def everything(request, tmp_path):
    """A forty with one tree of 12 inches of each species on its six plots, and one of 14 inches in the tally."""
    for name in ("parcels.geojson", "stands.geojson"):
        shutil.copy(SAMPLE / name, tmp_path)
    kinds = listed(request.param)
    needs = "[needs]\nfirewood_cord = 6\nchips_cuyd = 4\nposts = 4\n"
    (tmp_path / "place.toml").write_text(f'name = "All"\nregion = "{request.param}"\n\n{needs}')
    told = {
        "plots": "plot_id,stand_id,date,baf_sqft_per_ac\n" + "".join(f"{k},1,2024-10-01,10\n" for k in range(6)),
        "trees": "plot_id,tree,species,dbh_in\n" + "".join(f"{k % 6},{k},{s},12\n" for k, s in enumerate(kinds)),
        "tally": "tree,stand_id,species,dbh_in\n" + "".join(f"{k},1,{s},14\n" for k, s in enumerate(kinds)),
        "cores": "stand_id,species,dbh_in,years,growth_in\n" + "".join(f"1,{s},12,10,1.2\n" for s in kinds),
        "seedlings": "plot_id,species,radius_ft,under_1ft\n" + "".join(f"s{k},{s},6,3\n" for k, s in enumerate(kinds)),
        "browse": "plot_id,species,stems,browsed\n" + "".join(f"s{k},{s},6,3\n" for k, s in enumerate(kinds)),
    }
    for table, text in told.items():
        (tmp_path / f"{table}.csv").write_text(text)
    return tmp_path, kinds


def answer(*typed):
    """JSON of one verb, which must end well."""
    done = CliRunner().invoke(main, [str(one) for one in typed] + ["--json"])
    assert done.exit_code == 0, done.output + str(done.exception)
    return json.loads(done.stdout)


def test_each_can_be_cruised_grown_and_felled(everything):
    """All kinds stand in the stand table with trees and basal area, grow, and become parts with a weight."""
    home, kinds = everything
    rows = pd.DataFrame(answer("cruise", home)["stand_table"])
    assert set(rows["species"]) == set(kinds)
    assert (rows[["trees_per_ac", "basal_sqft_per_ac"]] > 0).all().all()
    assert answer("grow", home, "--as-of", "2026-11-25")["stands"]
    told = answer("fell", home, "--all")
    trees = pd.DataFrame(told["trees"]).merge(pd.DataFrame(told["per_tree"]), on="position")
    assert set(trees["species"]) == set(kinds)
    solid = trees[[c for c in trees if c.endswith("_cuft")]]
    assert np.isfinite(solid.to_numpy(dtype=float)).all() and (trees["stump_cuft"] > 0).all()
    weights = trees[["dry_lb", "air_dry_lb", "green_lb"]].to_numpy(dtype=float)
    assert (weights[:, 0] > 0).all() and (np.diff(weights, axis=1) > 0).all()


def test_all_of_them_can_go_to_the_chipper(everything):
    """More chips are wanted than there is wood: every kind is felled for it, and chips come of it."""
    home, kinds = everything
    toml = home / "place.toml"
    toml.write_text(toml.read_text().split("[needs]")[0] + "[needs]\nchips_cuyd = 5000\nchip_stems = true\n")
    told = answer("fell", home)
    assert len(told["fell"]) + len(told["not_by_hand"]) == len(kinds)
    assert told["needs"][0]["got"] > 10 and told["needs"][0]["short"] > 0


@pytest.mark.parametrize("region", REGIONS)
def test_each_can_be_burned_dried_weighed_grown_and_marked(region):
    """Heat of a cord, months to dry, pounds, inches a year and a rule for marking, for every kind."""
    for kind in listed(region):
        assert 10 < cords.heat_mmbtu_per_cord(kind, 20.0, 79.0, "gross", region=shipped("base")) < 45, kind
        low, high = drying._rates(kind, region=shipped("base"))
        assert 0 < low <= high, kind
        assert mass.dry_lb_westfall_2024(12.0, 60.0, kind, region=shipped("base"))["total_lb"].iloc[0] > 200, kind
    rules = marking.rules_for(listed(region), region=shipped("base"))
    assert len(rules.order) == len(listed(region))
    assert ((rules.order > 0.5) & (rules.order < 10)).all()
    inches = anchors(listed(region), shipped(region))
    assert np.isfinite(inches).all() and (inches > 0).all()


@pytest.mark.parametrize("kind", STAND_INS)
def test_a_stand_in_is_chosen_and_shown_with_its_reason(everything, kind):
    """Its rows are marked chosen, carry no other mark, and reading says whose figures were taken and why."""
    home, _ = everything
    for table in ("species", "wood_properties_miles_2009"):
        row = shipped("base").table(table).set_index("species").loc[kind]
        assert row["seen"] == "chosen" and f"the mean of {STAND_INS[kind]}" in row["where"]
    (note,) = [one for one in place.read(home).warnings if one.lower().startswith(kind)]
    assert "(trees.csv 1 row, tally.csv 1 row, cores.csv 1 row): no figures " in note
    assert f"wood as the mean of {STAND_INS[kind]}" in note


@pytest.mark.parametrize("table", ["trees", "tally", "cores"])
def test_what_stands_in_the_tables_for_checks_only_is_refused_with_a_remedy(everything, table):
    """Douglas-fir has no figures for its bark: named with its row and what to do, before any sum is made."""
    home, kinds = everything
    file = home / f"{table}.csv"
    file.write_text(file.read_text().replace(kinds[0], "Douglas-fir"))
    with pytest.raises(PlaceError) as stopped:
        place.read(home)
    (fault,) = stopped.value.faults
    assert (fault.file, fault.row, fault.column, fault.found) == (f"{table}.csv", 2, "species", "douglas-fir")
    assert "Write the kind most like it" in fault.remedy
