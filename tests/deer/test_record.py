"""The record of a place: what a family hands in, fall by fall, and whether anything of it may set a number."""

import math

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from woodlot.deer.options import DeerSettings
from woodlot.deer.record import record
from woodlot.region import shipped
from woodlot.say.reasons import said

REGION = shipped("lake_states")
ONE = gpd.GeoDataFrame({"parcel_id": ["p"]}, geometry=[shapely.box(-90, 46, -89.9885, 46.0098)], crs=4326)


def plots(year, groups, lines=6, on_line=20, **more):
    """A spring's plots of 178 days, its groups spread over them."""
    n = lines * on_line
    rng = np.random.default_rng(year)
    rows = {
        "plot_id": [f"{year}-{i}" for i in range(n)],
        "line": np.repeat([f"L{i}" for i in range(lines)], on_line),
        "date": pd.Timestamp(year, 4, 25),
        "radius_ft": 4.0,
        "groups": rng.multinomial(groups, np.full(n, 1 / n)).astype(float),
        "days": 178.0,
        "parcel_id": "p",
    }
    return pd.DataFrame(rows | more)


def ask(parcels=ONE, year=2026, options=None, **tables):
    """The record of these tables."""
    return record(parcels, year=year, options=DeerSettings(**(options or {})), region=REGION, **tables)


def seen(*rows):
    """Counts of deer: (day, method, bucks, does, fawns, hours)."""
    names = ["date", "method", "bucks", "does", "fawns", "hours"]
    frame = pd.DataFrame(rows, columns=names).assign(
        unknown=0.0, spikes=0.0, bucks_known=0.0, baited=False, station="s"
    )
    return frame.assign(date=pd.to_datetime(frame["date"]), acres=np.nan, complete=False)


def test_nothing_handed_in():
    """Outlines alone: one fall, nothing in it, and what would give a first figure."""
    told = ask()
    assert [f.year for f in told.falls] == [2026] and told.springs == ()
    assert said(told.why_not).startswith("No pellet plots have been counted.")
    assert told.ground.kill == (None, None) and told.ground.own_ac == pytest.approx(239, rel=0.02)
    assert told.ground.range_ac > 2 * told.ground.own_ac


def test_outlines_without_a_name():
    """Parcels without ids: every plot counts alike."""
    told = ask(gpd.GeoDataFrame(geometry=ONE.geometry), pellets=plots(2026, 20))
    assert told.why_not is None and told.falls[0].pellets.groups == 20


def test_one_spring_begins_the_record_in_the_fall_before():
    """Plots of spring 2026 tell of the winter that began in 2025: two falls, the plots with the first."""
    told = ask(pellets=plots(2026, 20))
    assert [f.year for f in told.falls] == [2025, 2026]
    count = told.falls[0].pellets
    assert (count.groups, count.plots) == (20, 120)
    assert count.per_plot == pytest.approx(20 / 120)
    assert count.acre_days == pytest.approx(math.pi * 16 / 43560 * 178)
    assert told.falls[1].pellets is None and told.why_not is None


def test_the_error_of_few_lines_is_wider_than_they_show():
    """By t over z: six lines 2.015 over 1.645; two lines by the groups and plots alone."""
    rows = plots(2026, 24)
    by_line = rows.groupby("line")["groups"].sum().to_numpy()
    se = max(math.sqrt(((by_line - 4) ** 2).sum() * 6 / 5) / 24, math.sqrt(24) / 24)
    assert ask(pellets=rows).falls[0].pellets.cv == pytest.approx(se * 2.015048 / 1.644854, rel=1e-5)
    again = ask(pellets=pd.concat([rows, plots(2025, 24)]))  # ten lines less one each: t 1.812461
    assert again.falls[1].pellets.cv == pytest.approx(se * 1.812461 / 1.644854, rel=1e-5)
    two = plots(2026, 24, lines=2)
    assert ask(pellets=two).falls[0].pellets.cv == pytest.approx(math.sqrt(1 / 24 + 2 / 40))


def test_parcels_count_by_their_acres():
    """Ten times the plots on the smaller parcel do not make it ten times as heavy."""
    both = gpd.GeoDataFrame(
        {"parcel_id": ["p", "q"]},
        geometry=[shapely.box(-90, 46, -89.99, 46.01), shapely.box(-89.99, 46, -89.98, 46.01)],
        crs=4326,
    )
    rows = pd.concat([plots(2026, 60, on_line=20), plots(2026, 0, on_line=2, parcel_id="q", line="Q")])
    told = ask(both, pellets=rows).falls[0].pellets
    assert told.per_plot == pytest.approx(60 / 120 / 2, rel=0.02) and told.groups == 60


@pytest.mark.parametrize(
    ("tables", "options", "said_of_it"),
    [
        ({"pellets": plots(2026, 3)}, {}, "3 groups on 120 plots; 5 groups is the least."),
        ({"pellets": plots(2026, 0)}, {}, "No groups on 120 plots; 5 groups is the least."),
        ({"counts": seen(("2026-10-01", "camera", 5, 30, 12, 336.0))}, {}, "Fawns, bucks and hours tell ratios"),
        ({"pellets": plots(2026, 20, days=np.nan)}, {}, "do not say for how long they gathered"),
        ({}, {"neighbor_does_per_sqmi": 0.0, "neighbor_bucks_per_sqmi": 0.0}, "No pellet plots have been counted."),
    ],
)
def test_what_sets_no_number(tables, options, said_of_it):
    """Under five groups, ratios alone, plots without days, neighbors who take none."""
    assert said_of_it in said(ask(options=options, **tables).why_not)


@pytest.mark.parametrize(
    ("tables", "options"),
    [
        ({"pellets": plots(2026, 5)}, {}),
        ({}, {"neighbor_bucks_per_sqmi": 1.5}),
        ({}, {"state_per_sqmi": 22}),
        ({"pellets": plots(2025, 0)}, {"state_per_sqmi": 22}),
    ],
)
def test_what_may_set_a_number(tables, options):
    """Five groups, the neighbors' kill, the state's figure; then few groups count too."""
    told = ask(options=options, **tables)
    assert told.why_not is None
    assert len(told.falls) == (1 if not tables else 2026 - told.falls[0].year + 1)


@pytest.mark.parametrize(("many", "groups", "told"), [(2, 2, False), (100, 3, True)])
def test_few_groups_have_a_limit_only_where_plots_are_many(many, groups, told):
    """Three groups on a hundred plots bound the herd; two on two plots allow more deer than any ground carries."""
    few = pd.DataFrame({"plot_id": [str(i) for i in range(many)], "line": "1", "radius_ft": 4.0, "days": 180.0})
    few = few.assign(date=pd.Timestamp(2026, 4, 20), groups=[float(i < groups) for i in range(many)], parcel_id="home")
    assert ("At most" in said(ask(pellets=few).why_not)) == told


def test_a_complete_count_is_of_its_fall():
    """20 deer driven out of all 239 acres in December 2025: 53.6 a square mile, of the fall 2025."""
    drive = seen(("2025-12-06", "drive", 4, 9, 7, 3.0)).assign(complete=True, acres=239.0)
    told = ask(counts=drive)
    assert told.why_not is None and [f.year for f in told.falls] == [2025, 2026]
    assert told.falls[0].complete[0] == pytest.approx(20 / 239 * 640)
    assert said(ask(counts=drive.assign(complete=False)).why_not).startswith("No pellet plots")
    after = drive.assign(date=pd.Timestamp(2026, 12, 6))  # of the hunt that is asked for: it tells of the next fall
    assert ask(counts=after).falls[-1].complete is None and ask(year=2027, counts=after).falls[0].complete is not None


def test_each_fall_has_its_own():
    """Kills, cameras, winters and watches stand in the fall that they are of; a day of January in the fall before."""
    bag = pd.DataFrame(
        {
            "year": [2023, 2024, 2025],
            "sex_age": ["doe", "yearling buck", "buck"],
            "number": 1,
            "age_yr": [3.5, 1.5, 4.5],
        }
    )
    ledger = pd.DataFrame(
        {"line": ["1"], "date": [pd.Timestamp(2026, 1, 3)], "kind": ["deer"], "sex_age": ["doe"], "amount": [1.0]}
    )
    counts = seen(("2025-09-20", "camera", 9, 30, 12, 336.0), ("2026-11-20", "sighting", 1, 6, 2, 12.0))
    winters = pd.DataFrame({"winter": [2023, 2024, 2025], "points": [90.0, 110.0, 67.0]})
    winters["scale"] = "wisconsin"  # that of 2023 lies before the record: told, and in no fall
    told = ask(pellets=plots(2025, 20), bag=bag, ledger=ledger, counts=counts, winters=winters)
    by = {f.year: f for f in told.falls}
    assert sorted(by) == [2024, 2025, 2026]  # the doe of 2023 was taken before the record begins
    assert by[2024].family == (0.0, 1.0) and by[2024].ages == (1.0, 0.0)
    assert by[2025].family == (1.0, 1.0) and by[2025].ages == (0.0, 1.0)
    assert (by[2024].winter_loss, by[2025].winter_loss) == pytest.approx((0.17, 0.0783), abs=1e-4)
    assert by[2025].fawns == (12.0, 30.0) and by[2025].bucks == (9.0, 30.0)
    assert by[2026].an_hour == (9.0, 12.0) and by[2026].winter_loss is None
    assert {fall: loss.value for fall, loss in told.winters.items()} == {2023: 90.0, 2024: 110.0, 2025: 67.0}


def test_a_new_start_begins_the_record_anew():
    """Ten springs, and a line of 2023 that begins anew: the springs before it stand in no fall."""
    rows = pd.concat([plots(y, 20) for y in range(2017, 2027)])
    book = pd.DataFrame(
        {"line": ["1"], "date": [pd.Timestamp(2023, 10, 1)], "kind": ["new start"], "sex_age": None, "amount": [np.nan]}
    )
    assert ask(pellets=rows).falls[0].year == 2016
    assert ask(pellets=rows, ledger=book).falls[0].year == 2023


def test_a_spring_of_a_yard_is_left_out_and_the_rest_kept():
    """Three weeks of deep snow last winter beside conifers: its plots are out, those of the year before are not."""
    stands = gpd.GeoDataFrame({"cover": ["spruce and fir"]}, geometry=list(ONE.geometry), crs=4326)
    rows = pd.concat([plots(2025, 20), plots(2026, 60)])
    told = ask(pellets=rows, stands=stands, options={"weeks_of_deep_snow": 3})
    assert {f.year: f.pellets is not None for f in told.falls} == {2024: True, 2025: False, 2026: False}
    assert any("the pellets of 2026 are of deer gathered" in said(c) for c in told.cautions)
    alone = ask(pellets=plots(2026, 60), stands=stands, options={"weeks_of_deep_snow": 3})
    assert "Set cameras in fall" in said(alone.why_not)


def test_ratios_the_family_wrote_count_where_no_count_tells_them():
    """.6 fawns a doe and 2 does a buck as 30 deer each; cameras of this fall go before them."""
    told = ask(pellets=plots(2026, 20), options={"fawns_per_doe": 0.6, "does_per_buck": 2.0}).falls[-1]
    assert told.fawns == pytest.approx((11.25, 18.75)) and sum(told.bucks) == pytest.approx(30)
    assert told.bucks[0] / told.bucks[1] == pytest.approx(1.4 / 2)
    counted = ask(
        pellets=plots(2026, 20), counts=seen(("2026-09-20", "camera", 9, 30, 12, 336.0)), options={"fawns_per_doe": 0.6}
    )
    assert counted.falls[-1].fawns == (12.0, 30.0)
    assert [said(one) for one in counted.cautions if "place.toml" in said(one)] == [
        "fawns_per_doe in place.toml gives way to the deer seen that fall."
    ]


def test_the_states_limits_are_its_doubt():
    """22 (11 to 44): log SD ln 4 over 2 x 1.645; without limits, or with narrow ones, .40."""
    wide = ask(options={"state_per_sqmi": 22, "state_low_per_sqmi": 11, "state_high_per_sqmi": 44}).falls[-1].state
    assert wide == pytest.approx((22, math.log(4) / 2 / 1.644854))
    assert ask(options={"state_per_sqmi": 22}).falls[-1].state == (22, 0.4)


def test_acres_that_no_plot_lies_on_are_said():
    """Plots on one of two parcels: the acres of the other are spoken for by the rest; plots of no parcel for all."""
    both = gpd.GeoDataFrame(
        {"parcel_id": ["p", "q"]},
        geometry=[shapely.box(-90, 46, -89.99, 46.01), shapely.box(-89.99, 46, -89.98, 46.01)],
        crs=4326,
    )
    some, strange = plots(2026, 20), plots(2026, 20, parcel_id=None)
    told = [said(c) for c in ask(both, pellets=some).cautions]
    assert len(told) == 1 and told[0].startswith("No pellet plot lies on 21") and "the rest speaks for them" in told[0]
    assert [c.key for c in ask(both, pellets=strange).cautions] == ["plots of no parcel"]
    assert ask(pellets=some).cautions == ()


def test_ground_where_deer_are_fed_is_left_out():
    """Fed since the fall 2024: the plots of 2025 and 2026 are of deer that gathered; those of 2024 count."""
    rows = pd.concat([plots(y, 20) for y in (2024, 2025, 2026)])
    told = ask(pellets=rows, options={"feeder_since": 2024})
    assert [f.year for f in told.falls if f.pellets] == [2023] and [c.key for c in told.cautions] == ["feeder springs"]
    assert "Deer are fed near your plots" in said(ask(pellets=plots(2026, 20), options={"feeder_since": 2024}).why_not)


def test_a_new_take_of_the_neighbors_stands_in_its_fall():
    """From 2025 on .8 does and 2 bucks; what was so before the record began is so in its first fall."""
    new = {"neighbors": [{"from_fall": 2025, "does_per_sqmi": 0.8, "bucks_per_sqmi": 2.0}]}
    rows = pd.concat([plots(y, 20) for y in (2024, 2025, 2026)])
    assert {f.year: f.neighbors for f in ask(pellets=rows, options=new).falls} == {
        2023: None, 2024: None, 2025: (0.8, 2.0), 2026: None,
    }  # fmt: skip
    late = ask(pellets=plots(2026, 20), options={"neighbors": [new["neighbors"][0] | {"from_fall": 2019}]})
    assert [f.neighbors for f in late.falls] == [(0.8, 2.0), None]


def test_ages_since_a_rule_on_antlers_tell_nothing():
    """A rule of 2025: the ages of 2024 count, those of 2025 do not, its kills do."""
    bag = pd.DataFrame({"year": [2024, 2025], "sex_age": "yearling buck", "number": 2, "age_yr": 1.5})
    told = ask(pellets=plots(2025, 20), bag=bag, options={"antler_rule_since": 2025}).falls
    assert [f.ages for f in told] == [(2.0, 0.0), None, None] and told[1].family == (0.0, 2.0)


def test_the_states_figure_is_of_its_fall():
    """A figure of 2023 begins the record there; one of a fall to come is none yet."""
    told = ask(options={"state_per_sqmi": 22, "state_year": 2023})
    assert [f.year for f in told.falls if f.state] == [2023] and told.falls[0].year == 2023
    assert ask(options={"state_per_sqmi": 22, "state_year": 2030}).why_not is not None


@pytest.mark.parametrize(("spring", "said_so"), [(2023, True), (2024, False), (2026, False)])
def test_a_count_of_years_ago_is_said(spring, said_so):
    """Three years and more since the last plots; the number runs on."""
    told = ask(pellets=plots(spring, 20))
    assert told.why_not is None and ("old count" in [c.key for c in told.cautions]) == said_so
