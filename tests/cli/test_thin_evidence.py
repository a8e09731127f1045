"""What the verbs say where little is known: few pellet groups, two plots, a raster that cannot be used."""

import json

import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.say.words import two_figures

DAY = ["--as-of", "2026-11-25"]
LINE = "plot_id,line,date,radius_ft,groups,days\n"


@pytest.fixture
def forty(tmp_path):
    """One parcel with one stand of four plots, two of 40 pellet plots with groups, a text called elevation.tif."""
    ring = [[-90.0, 46.0], [-89.995, 46.0], [-89.995, 46.0036], [-90.0, 46.0036], [-90.0, 46.0]]
    for name, told in (("parcels", {"parcel_id": "1"}), ("stands", {"stand_id": "1", "cover": "northern hardwoods"})):
        shape = {"type": "Polygon", "coordinates": [ring]}
        one = {"type": "Feature", "properties": told, "geometry": shape}
        (tmp_path / f"{name}.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [one]}))
    (tmp_path / "place.toml").write_text('name = "Thin"\nregion = "lake_states"\n')
    plots = "".join(f"{k},1,2026-10-01,10\n" for k in range(4))
    (tmp_path / "plots.csv").write_text("plot_id,stand_id,date,baf_sqft_per_ac\n" + plots)
    (tmp_path / "trees.csv").write_text("plot_id,species,dbh_in\n0,sugar maple,12\n1,sugar maple,10\n2,red maple,9\n")
    rows = "".join(f"d{k},{k // 20},2026-04-20,4,{int(k in (3, 30))},170\n" for k in range(40))
    (tmp_path / "pellets.csv").write_text(LINE + rows)
    (tmp_path / "elevation.tif").write_text("not a picture\n")
    return tmp_path


def said(*typed):
    """Standard output of one verb on one line; it must end well."""
    done = CliRunner().invoke(main, [str(t) for t in typed])
    assert done.exit_code == 0, done.output + str(done.exception)
    return " ".join(done.stdout.split())


def test_too_few_groups_name_no_number_of_deer(forty):
    """Two groups on 40 plots: the bound is said once, and the spring's row carries the count and no deer."""
    told = said("herd", forty, *DAY)
    assert "We can't say how many. 2 groups on 40 plots" in told and "Winter half" not in told
    assert told.count("At most") == 1
    whole = said("herd", forty, "--all", *DAY)
    assert "2026 40 2 too few fall" in whole and whole.count("No browse plots yet.") == 1


def test_a_parcel_has_its_cords_on_the_screen(forty):
    """Scale --parcel shows the cords of the parcel, the same as its one stand, and why there is no range."""
    told = json.loads(CliRunner().invoke(main, ["scale", str(forty), "--json", *DAY]).stdout)
    value = told["parcels"][0]["cords"]["value"]
    assert value == pytest.approx(told["stands"][0]["cords"]["value"]) and value > 0
    table = said("scale", forty, "--parcel", "1", *DAY).split("parcel name acres", 1)[1]
    assert f"{value:.2g}" in table.split("A full cord")[0].replace(",", "")


def test_why_uses_no_word_of_the_trade_for_a_spread_and_says_a_reason_once(forty):
    """Three of four plots with wood, no stand beside theirs: the reason stands once, the spread in words."""
    told = said("why", "cords", forty, "--stand", "1", *DAY)
    assert "spread of that mean" in told and "error" not in told
    assert "4 plots (3 with any)" in told and "seen on" not in told
    assert (
        told.count("With the usual spread between plots beside theirs: ") == told.count("Range by its own plots") == 1
    )


def test_a_raster_that_cannot_be_used_is_said_on_the_first_screen(forty):
    """A text named elevation.tif: one line with its name and one stop at its end; the plan is made without it."""
    told = said("plan", forty, *DAY)
    assert "1 parcel, " in told
    assert "Rasters elevation.tif cannot be read as a raster" in told and ".. " not in told
    assert (forty / "out" / "map.html").exists()


def test_one_plot_grows_a_number_with_a_wider_range_than_six(forty):
    """One plot has the range of a usual spread, the same in grow as in cut; six have a narrower one."""
    (forty / "plots.csv").write_text(
        "plot_id,stand_id,date,baf_sqft_per_ac\n" + "".join(f"{k},1,2026-10-01,10\n" for k in range(6))
    )
    rows = "".join(f"{k},sugar maple,{8 + k}\n" * (7 + k) for k in range(6))
    (forty / "trees.csv").write_text("plot_id,species,dbh_in\n" + rows)
    six = json.loads(CliRunner().invoke(main, ["grow", str(forty), "--json", *DAY]).stdout)["growth"]
    assert 0 < six["low"] < six["value"] < six["high"]
    (forty / "plots.csv").write_text("plot_id,stand_id,date,baf_sqft_per_ac\n0,1,2026-10-01,10\n")
    (forty / "trees.csv").write_text("plot_id,species,dbh_in\n" + "0,sugar maple,12\n" * 11)
    one = json.loads(CliRunner().invoke(main, ["grow", str(forty), "--json", *DAY]).stdout)["growth"]
    assert 0 < one["low"] < one["value"] < one["high"] and one["high"] / one["low"] > 1.5 * six["high"] / six["low"]
    told = said("grow", forty, *DAY)
    middle, low, high = (two_figures(one[end]) for end in ("value", "low", "high"))
    grows = f"{middle} cords a year ({low} to {high}, assumptions)"
    assert f"{grows} grow in the stands" in told and f"in the middle {grows}" in said("cut", forty, *DAY)


def test_how_dense_the_family_keeps_a_cover_is_no_want_and_stands_in_why_cover(forty):
    """[[leave]] is told as the family's figure where covers are told, and walk does not take it for a want."""
    assert "to leave 80 sq ft" in said("why", "cover", forty, *DAY)
    with (forty / "place.toml").open("a") as toml:
        toml.write('[[leave]]\ncover = "northern hardwoods"\nsqft = 95\n')
    told = said("why", "cover", forty, *DAY)
    assert "to leave 95 sq ft" in told and "yours" in told
    (forty / "elevation.tif").unlink()
    assert "wanted once" not in said("walk", forty)


def test_futures_that_are_not_told_have_no_heading(forty):
    """Woods that nobody has a plot in: one sentence on the next hundred years, and no promise of many futures."""
    (forty / "plots.csv").write_text("plot_id,stand_id,date,baf_sqft_per_ac\n")
    (forty / "trees.csv").write_text("plot_id,species,dbh_in\n")
    told = said("cut", forty, *DAY)
    assert "What the next hundred years bring is not told" in told and "in many futures" not in told
