"""Taps by size, sap to syrup, and what the ledger notes of it."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from woodlot import ledger, place, season
from woodlot.estimate import t_quantile
from woodlot.region import shipped
from woodlot.wood import sugarbush

BASE = shipped("base")
DAY = dt.date(2026, 11, 25)


def taps_of(*rows):
    """Taps and soundness of trees: species, diameter, words."""
    trees = pd.DataFrame(rows, columns=["species", "dbh_in", "quality"]).assign(counted_only=False)
    taps, sound = sugarbush._on_trees(trees, BASE)
    return (taps * sound).tolist()


def test_taps_by_diameter_as_printed():
    """The conservative guide: none under 12 in, one from 12, two from 18 and never more."""
    rows = [("sugar maple", d, "") for d in (11.9, 12.0, 17.9, 18.0, 30.0)]
    assert taps_of(*rows) == [0, 1, 1, 2, 2]


def test_only_sound_maples_are_tapped():
    """Red and soft maple bear taps; oak and a maple nobody could name (it may be striped) none; rot and dying none."""
    assert taps_of(("red maple", 14, ""), ("soft maple", 14, ""), ("northern red oak", 20, ""), ("maple", 20, "")) == [
        1,
        1,
        0,
        0,
    ]
    words = ("rot", "hollow", "at risk", "dying", "crook", "crop")
    assert taps_of(*(("sugar maple", 14, word) for word in words)) == [0, 0, 0, 0, 1, 1]


def test_syrup_by_hand():
    """100 taps, 10 gallons of sap of 2 percent: 1,000 x 2 / 86 = 23.3 gallons; ends 5 x 1.7 and 15 x 2.7 a tap."""
    got = sugarbush._syrup(100.0, {"sugar_pct": 2.0, "low": 1.7, "high": 2.7}, BASE)
    assert got.value == pytest.approx(2000 / 86) and got.kind == "assumptions"
    assert (got.low, got.high) == (pytest.approx(850 / 86), pytest.approx(4050 / 86))


def test_a_tap_gives_what_a_crop_count_of_the_states_gives():
    """0.190 gallons a tap, mean of 2001-05, and 0.219 in 2008 (yields of the agriculture department, as the trade's
    paper and a maker's page print them): ours is within a fifth of the larger and its range holds both.
    """
    one = sugarbush._syrup(1.0, {"sugar_pct": 2.0, "low": 1.7, "high": 2.7}, BASE)
    assert one.low < 0.190 < 0.219 < one.value < 1.2 * 0.219 < one.high


def lines(*rows):
    """Lines of a ledger as they stand: day, stand, kind, amount, unit, words."""
    frame = pd.DataFrame(rows, columns=["date", "stand_id", "kind", "amount", "unit", "text"])
    return frame.assign(date=pd.to_datetime(frame["date"]))


def test_what_the_ledger_notes():
    """Taps of the last day that names any; gallons of the last spring; other stands and other units are left."""
    told = sugarbush.noted(
        lines(
            ("2024-03-16", "7", "seen", np.nan, None, "First run of sap. 140 taps"),
            ("2026-03-20", "7", "seen", np.nan, None, "1,160 taps out"),
            ("2026-04-20", "8", "seen", np.nan, None, "20 taps"),
            ("2025-03-20", "7", "sap", 500.0, "gal", None),
            ("2026-03-20", "7", "sap", 700.0, "gal", None),
            ("2026-03-25", "7", "sap", 300.0, "gallon", None),
            ("2026-04-02", "7", "syrup", 24.0, "gallons", None),
            ("2026-04-02", "7", "sap", 9.0, "lb", None),
        ),
        "7",
    )
    assert (told.taps, told.taps_on.year, told.spring, told.sap_gal, told.syrup_gal) == (1160, 2026, 2026, 1000.0, 24.0)
    assert sugarbush.noted(lines(), "7") == sugarbush.Noted()


def test_taps_of_a_stand_by_hand(small_place):
    """Stand 1 of 3 prism plots of factor 10: one holds a maple of 12.2 in and two that were counted only, taken to be
    like it; the mean over the plots times the acres.
    """
    small_place.maps["stands.geojson"]["features"][0]["properties"]["wish"] = "sugarbush"
    small_place.draw()
    asked = season.season(place.read(small_place.folder, as_of=DAY))
    book = ledger.standing(asked.place.ledger)
    (got,) = sugarbush.sugarbushes(
        asked.wishes, asked.place.plots, asked.standing.trees, book, 0.9, region=asked.place.region
    )
    acres = asked.measured.stands["acres"].iloc[0]
    mean = 3 * 10 / (0.005454154 * 12.2**2) / 3 * np.hypot(1.0, 0.05)  # on a slope of 5 percent
    assert got.acres == pytest.approx(acres) and got.taps.value == pytest.approx(mean * acres, rel=1e-3)
    half = t_quantile(0.9, got.taps.df) * np.sqrt(np.log1p((got.taps.se / got.taps.value) ** 2))
    assert got.taps.low == pytest.approx(got.taps.value * np.exp(-half)) and got.taps.df > 2.0
    assert got.syrup.kind == "assumptions" and got.syrup_of_noted is None


def test_a_family_without_plots_goes_by_the_taps_it_notes(small_place):
    """No number of taps yet, and the syrup of those that are noted."""
    small_place.maps["stands.geojson"]["features"][1]["properties"]["wish"] = "sugarbush"
    small_place.draw()
    small_place.change("plots.csv", "4,2,,2026-10-10,fixed,,26.3,,,\n5,2,,2026-10-10,fixed,,26.3,,,\n", "")
    small_place.change("trees.csv", "4,1,red pine,11.5,66,50,,,,,\n4,2,red pine,8.0,,,,,,,\n", "")
    head = "line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check\n"
    (small_place.folder / "ledger.csv").write_text(f"{head}1,2026-03-20,,2,seen,,,,,40 taps,,,,\n", encoding="utf-8")
    asked = season.season(place.read(small_place.folder, as_of=DAY))
    book = ledger.standing(asked.place.ledger)
    (got,) = sugarbush.sugarbushes(
        asked.wishes, asked.place.plots, asked.standing.trees, book, 0.9, region=asked.place.region
    )
    assert got.taps.value is None and got.syrup.value is None and got.unsound == 0.0
    assert got.syrup_of_noted.value == pytest.approx(40 * 10 * 2 / 86)
