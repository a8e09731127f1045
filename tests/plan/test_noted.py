"""What the family noted, where it bears on a stand, a parcel, the next plots and the year."""

from datetime import date

import pandas as pd
import pytest

from woodlot.plan import noted
from woodlot.say.noted import details
from woodlot.say.reasons import said

STANDS = pd.DataFrame({"stand_id": ["1", "2", "3"], "parcel_id": ["home", "home", "lake"]})
PARCELS = pd.DataFrame({"parcel_id": ["home", "lake"]})
PLOTS = pd.DataFrame({"stand_id": ["1", "1", "2"], "date": pd.to_datetime(["2020-05-01", "2025-05-01", "2026-05-01"])})
DAY = date(2026, 11, 30)
NAMES = ["line", "date", "kind", "parcel_id", "stand_id", "species", "amount", "unit", "text"]


def book(*lines):
    """Lines of the ledger: day, kind and what they tell."""
    rows = [
        {"line": n, "date": pd.Timestamp(day), "kind": kind, **told} for n, (day, kind, told) in enumerate(lines, 1)
    ]
    return pd.DataFrame(rows, columns=NAMES)


def told(lines, plots=PLOTS):
    """Stand -> its sentences."""
    return {stand: [said(one) for one in whys] for stand, whys in noted.of_stands(lines, STANDS, plots).items()}


def test_sick_trees_after_the_plots_ask_to_measure_again():
    """Noted after the plots of stand 1, before those of stand 2, and in stand 3, which has none."""
    ash = {"species": "white ash", "amount": 12.0, "unit": "piece", "text": "dying trees along the creek"}
    lines = book(
        ("2025-09-01", "sick trees", {**ash, "stand_id": "1"}),
        ("2025-09-01", "sick trees", {**ash, "stand_id": "2"}),
        ("2026-03-01", "sick trees", {"stand_id": "3", "text": "thin on top"}),
    )
    assert told(lines) == {
        "1": [
            "Sick trees noted: 12 white ash, dying (1 Sep 2025). Its plots of 1 May 2025 are older: measure again "
            "before you trust its cords."
        ],
        "2": ["Sick trees noted: 12 white ash, dying (1 Sep 2025)."],
        "3": ["Sick trees noted: sick trees (1 Mar 2026)."],
    }
    assert noted.sick(lines, PLOTS) == {"1": ("white ash",), "3": ("",)}
    assert [said(one) for one in noted.to_measure(lines, STANDS, PLOTS)] == [
        "Stand 1: sick trees were noted on 1 Sep 2025, after the plots there; measure again before you trust "
        "their cords."
    ]
    assert noted.to_measure(lines, STANDS, PLOTS, weather=True) == ()


@pytest.mark.parametrize(
    ("where", "stands"),
    [
        ({}, ["1"]),
        ({"stand_id": "1"}, ["1"]),
        ({"parcel_id": "home"}, ["1"]),
        ({"parcel_id": "lake"}, []),
        ({"stand_id": "2"}, []),
    ],
)
def test_a_storm_bears_on_the_stands_it_came_over_whose_plots_are_older(where, stands):
    """Of no ground it came over all; plots made after it, and stands without any, are not spoken of."""
    lines = book(("2026-01-10", "weather", {"text": "ice storm", **where}))
    assert list(told(lines)) == stands
    of = [dict(one.facts)["stands"] for one in noted.to_measure(lines, STANDS, PLOTS)]
    assert of == ([tuple(stands)] if stands else [])


def test_weather_that_breaks_no_tree_is_of_the_year_alone():
    """Frost, snow at a stake by its deepest day, words of no list as they are."""
    lines = book(
        ("2026-05-20", "weather", {"text": "late frost"}),
        ("2026-01-10", "weather", {"text": "snow stake", "amount": 9.0, "unit": "in"}),
        ("2026-02-10", "weather", {"text": "snow stake", "amount": 14.0, "unit": "in"}),
        ("2026-08-01", "weather", {"text": "smoke for a week"}),
        ("2026-05-02", "planted", {"species": "white pine", "amount": 50.0, "unit": "piece"}),
        ("2026-05-03", "boundary", {"parcel_id": "lake", "text": "walked the line"}),
    )
    assert told(lines) == {} and noted.to_measure(lines, STANDS, PLOTS) == ()
    assert [said(one) for one in noted.of_year(lines)] == [
        "smoke for a week on 1 Aug 2026",
        "a late frost on 20 May 2026",
        "snow of 14 inches on 10 Feb 2026, noted 2 times",
        "50 trees planted (white pine)",
        "lines of lake walked",
    ]


def test_plantings_are_told_by_kind_and_year():
    """Two days of one spring add up; a planting nobody counted is told without a number."""
    pine = {"species": "white pine", "amount": 25.0, "unit": "piece", "stand_id": "3"}
    lines = book(
        ("2026-05-02", "planted", pine), ("2026-05-09", "planted", pine), ("2024-05-02", "planted", {"stand_id": "3"})
    )
    assert told(lines) == {"3": ["Planted: 50 white pine in 2026; trees in 2024."]}


def test_lines_of_parcels_are_told_once_one_of_them_was_walked():
    """Nothing as long as no walk was noted; then each parcel, with corners that are missing until they are found."""
    assert noted.of_parcels(book(("2026-01-01", "seen", {"text": "bear"})), PARCELS, DAY) == {}
    walked = ("2022-05-03", "boundary", {"parcel_id": "lake", "text": "walked the line with the neighbor"})
    lost = ("2025-05-03", "boundary", {"parcel_id": "lake", "text": "corner missing at the road"})
    found = ("2026-05-03", "boundary", {"parcel_id": "lake", "text": "found the corner"})

    def words(*lines):
        return {name: said(why) for name, why in noted.of_parcels(book(*lines), PARCELS, DAY).items()}

    assert words(walked) == {
        "home": "No walk of its lines is noted.", "lake": "Lines last walked 3 May 2022, 4 years ago."
    }  # fmt: skip
    assert words(walked, lost)["lake"] == (
        "Lines last looked at 3 May 2025, 1 year ago. A corner was missing on 3 May 2025: a licensed surveyor sets it "
        "anew, nobody else."
    )
    assert words(walked, lost, found)["lake"] == "Lines last looked at 3 May 2026."


def test_notes_that_name_no_ground_are_remarked():
    """Sick trees without a stand; a line without its parcel, unless there is only one."""
    lines = book(("2026-01-01", "sick trees", {"text": "dead trees"}), ("2026-01-02", "boundary", {"text": "blazed"}))
    assert [said(one) for one in noted.of_no_ground(lines, PARCELS)] == [
        "Line 1 of the ledger (sick trees) names no stand, so it is told of none; write it anew with --corrects 1.",
        "Line 2 of the ledger (boundary) names no parcel, so it is told of none; write it anew with --corrects 2.",
    ]
    assert len(noted.of_no_ground(lines, PARCELS[:1])) == 1
    assert said(noted.of_parcels(lines, PARCELS[:1], DAY)["home"]) == "Lines last blazed 2 Jan 2026."


def test_what_the_columns_of_a_line_tell():
    """A deer, wood, a photo; nothing of empty cells."""
    assert details({"age_yr": 3.5, "dressed_lb": 98.0, "milk": "dry"}) == "3.5 years old, 98 lb dressed, without milk"
    assert details({"species": "red oak", "job": "barn", "photo": "a.jpg"}) == "red oak, job barn, photo a.jpg"
    assert details({"age_yr": float("nan"), "milk": None, "species": ""}) == ""
