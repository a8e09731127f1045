"""The bag: which fall a day belongs to, who was killed, of what age, with milk."""

import pandas as pd
import pytest

from woodlot.deer import bag
from woodlot.region import shipped
from woodlot.trade import SEX_AGE

REGION = shipped("base")


@pytest.mark.parametrize(
    ("day", "fall"),
    [("2026-09-15", 2026), ("2027-01-03", 2026), ("2027-02-27", 2026), ("2027-06-30", 2026), ("2027-07-01", 2027)],
)
def test_a_day_belongs_to_the_season_that_began_last_fall(day, fall):
    """January and February are hunted for the fall before; a column of days and one day agree."""
    assert bag.fall_of(pd.Timestamp(day)) == fall
    assert bag.fall_of(pd.Series(pd.to_datetime([day]))).tolist() == [fall]


def killed(rows, ledger=None):
    """Of rows (sex_age, number, age_yr, date, milk) of the fall of 2026: the one line of that fall."""
    names = ["sex_age", "number", "age_yr", "date", "milk"]
    frame = pd.DataFrame(rows, columns=names).assign(year=2026)
    frame["date"] = pd.to_datetime(frame["date"])
    return bag.killed_by_fall(frame, ledger, REGION).loc[2026].to_dict()


def test_deer_of_january_and_february_are_those_of_the_fall_before():
    """Of the ledger's days the season counts, of the bag its year; the larger of the two books, kind by kind."""
    line = {"kind": "deer", "amount": 1.0, "unit": "deer"}
    ledger = pd.DataFrame(
        [
            {**line, "date": "2026-11-20", "sex_age": "doe"},
            {**line, "date": "2027-01-03", "sex_age": "buck fawn"},
            {**line, "date": "2027-02-27", "sex_age": "buck"},
            {**line, "date": "2027-07-01", "sex_age": "doe"},
            {**line, "date": "2027-02-27", "sex_age": "doe", "kind": "seen"},
        ]
    )
    told = pd.DataFrame({"year": [2026, 2026], "sex_age": ["doe", "buck"], "number": [1.0, 2.0]})
    one = bag.Taken(bucks=1.0, does=2.0)
    assert bag.taken_by_year(None, ledger, REGION) == {2026: one, 2027: bag.Taken(bucks=0.0, does=1.0)}
    assert bag.taken_by_year(told, ledger, REGION)[2026] == bag.Taken(bucks=2.0, does=2.0)


@pytest.mark.parametrize("sex_age", SEX_AGE)
def test_every_deer_is_a_doe_or_a_buck(sex_age):
    """Each class counts once; a deer nobody could tell counts as a doe."""
    told = killed([(sex_age, 2, None, None, None)])
    antlered = sex_age in ("buck", "yearling buck")
    assert (told["does"], told["bucks"]) == ((0, 2) if antlered else (2, 0))


def test_ages_of_bucks_by_hand():
    """Two yearlings by word, one by its teeth (1.5), two older (2.5, 6.5), one of unknown age: 3 and 2 of 6."""
    rows = [("yearling buck", 2, None), ("buck", 1, 1.5), ("buck", 1, 2.5), ("buck", 1, 6.5), ("buck", 1, None)]
    told = killed([(*row, None, None) for row in [*rows, ("doe", 1, 4.5)]])
    assert (told["bucks"], told["yearling_bucks"], told["older_bucks"]) == (6, 3, 2)


def test_a_yearling_of_one_book_and_an_old_buck_of_the_other_are_two_deer():
    """The ages say it: two bucks, though each book has one."""
    ledger = pd.DataFrame({"kind": ["deer"], "amount": [1.0], "date": ["2026-11-20"], "sex_age": ["yearling buck"]})
    assert killed([("buck", 1, 4.5, None, None)], ledger)["bucks"] == 2


@pytest.mark.parametrize(
    ("row", "milk"),
    [
        (("doe", "2026-11-15", "milk"), (1, 0)),
        (("yearling doe", "2026-11-15", "dry"), (0, 1)),
        (("doe", "2026-11-16", "milk"), (0, 0)),
        (("doe", "2027-01-03", "dry"), (0, 0)),
        (("doe", None, "milk"), (0, 0)),
        (("doe", "2026-11-10", None), (0, 0)),
        (("doe fawn", "2026-11-10", "dry"), (0, 0)),
        (("deer", "2026-11-10", "dry"), (0, 0)),
    ],
)
def test_milk_tells_of_does_up_to_mid_november(row, milk):
    """A grown doe with a day by 15 November and milk judged; nothing else tells of fawns."""
    told = killed([(row[0], 1, None, row[1], row[2])])
    assert (told["with_milk"], told["without_milk"]) == milk


def test_no_book_is_no_fall():
    """Nothing handed in, nothing killed: an empty table with its columns."""
    none = bag.killed_by_fall(None, None, REGION)
    assert none.empty and list(none.columns) == list(bag.KILLED)


def line(date, sex_age, text="", **more):
    """A line of the ledger of one deer."""
    return {"kind": "deer", "date": date, "sex_age": sex_age, "amount": 1.0, "unit": "deer", "text": text} | more


def test_words_of_an_older_line_are_read():
    """Age, weight and milk, with words of the family's own behind them; words alone tell none of it."""
    told = "age 3.5 yr; dressed 104.5 lb; milk; by the spring"
    rows = pd.DataFrame([line("2026-11-10", "doe", told), line("2027-01-03", "buck", "milk river, dressed well")])
    first, second = bag.noted(rows).to_dict("records")
    assert (first["age_yr"], first["dressed_lb"], first["milk"], first["year"]) == (3.5, 104.5, "milk", 2026)
    assert pd.isna(second["age_yr"]) and pd.isna(second["dressed_lb"]) and pd.isna(second["milk"])
    assert second["year"] == 2026


def test_columns_of_a_line_go_before_its_words():
    """A line with columns, one from before there were any, and one whose words say another age than its column."""
    lines = pd.DataFrame(
        [
            line("2026-11-10", "doe", "by the gate", age_yr=2.5, dressed_lb=98.0, milk="dry"),
            line("2026-11-11", "doe", "age 3.5 yr; milk"),
            line("2026-11-12", "doe", "age 4.5 yr; dressed 90 lb; milk", age_yr=5.5),
        ]
    )
    told = bag.noted(lines)
    assert told["age_yr"].tolist() == [2.5, 3.5, 5.5]
    assert told["dressed_lb"].fillna(0).tolist() == [98.0, 0.0, 90.0] and told["milk"].tolist() == [
        "dry",
        "milk",
        "milk",
    ]


def test_age_and_milk_of_the_ledger_count():
    """A doe with milk, one without, an old buck and a yearling by its age."""
    ledger = pd.DataFrame(
        [
            line("2026-11-10", "doe", "age 2.5 yr; milk"),
            line("2026-11-12", "doe", "dry"),
            line("2026-11-13", "buck", "age 1.5 yr"),
            line("2026-11-14", "buck", "age 4.5 yr; by the gate"),
        ]
    )
    told = bag.killed_by_fall(None, ledger, REGION).loc[2026].to_dict()
    assert told == dict(zip(bag.KILLED, (2, 2, 1, 1, 1, 1), strict=True))
