"""What a line may hold by its kind: what is missing and what does not belong is said, each with its column."""

import pandas as pd
import pytest

from woodlot import trade
from woodlot.columns import header
from woodlot.ledger import entries
from woodlot.say.noted import takes
from woodlot.say.reasons import said


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ({"kind": "deer"}, {"sex_age": "which deer was it? add --sex-age with one of"}),
        ({"kind": "deer", "sex_age": "doe", "age_yr": 3.5, "dressed_lb": 98, "milk": "dry"}, {}),
        ({"kind": "deer", "sex_age": "buck", "milk": "milk"}, {"milk": "only a grown doe has milk: add --sex-age doe"}),
        ({"kind": "deer", "sex_age": "doe fawn", "age_yr": 3}, {"age_yr": "a doe fawn is 0 to 1 years old"}),
        ({"kind": "deer", "sex_age": "doe", "job": "barn"}, {"job": "deer takes no job"}),
        (
            {"kind": "firewood", "amount": 2, "unit": "cord", "age_yr": 3},
            {"age_yr": "An age is of deer, not of firewood"},
        ),
        ({"kind": "firewood", "amount": 2, "unit": "in"}, {"unit": "inches and degrees are of weather alone"}),
        ({"kind": "firewood", "amount": 2, "unit": "cord", "species": "red oak", "job": "barn"}, {}),
        ({"kind": "weather", "amount": 14, "unit": "in"}, {"text": "what was it?"}),
        ({"kind": "weather", "amount": 14, "unit": "cord", "text": "snow"}, {"unit": "told in inches or degrees F"}),
        ({"kind": "weather", "amount": -20, "unit": "f", "text": "cold"}, {}),
        ({"kind": "boundary", "amount": 3, "unit": "h"}, {"amount": "boundary takes no amount; say it in --text"}),
        ({"kind": "sick trees", "species": "white ash", "amount": 12, "unit": "piece", "stand_id": "9"}, {}),
        ({"kind": "planted", "amount": 2, "unit": "cord"}, {"unit": "planted is told in trees or acres"}),
        ({"kind": "photo"}, {"photo": "which file is it?"}),
        ({"kind": "measured stack"}, {"amount": "how large is it?"}),
        ({"kind": "void"}, {"corrects": "a void line takes out another one"}),
        ({"kind": "mushrooms", "amount": 2, "unit": "lb", "text": "by the spring"}, {}),
    ],
)
def test_what_a_line_lacks_or_does_not_take_is_said_with_its_column(line, wrong):
    """One line by itself; a word that is no kind of the list takes what it likes."""
    told = {column: said(why) for _, column, why in entries.wrong(pd.DataFrame([line]))}
    assert set(told) == set(wrong)
    assert all(words in told[column] for column, words in wrong.items())


def test_lines_of_a_file_are_told_by_their_positions():
    """Two wrong ones among four, empty cells as a file has them."""
    lines = pd.DataFrame(
        [
            {"kind": "seen", "sex_age": "", "text": "bear"},
            {"kind": "deer", "sex_age": "", "text": ""},
            {"kind": "firewood", "sex_age": "", "amount": 2.0, "unit": "cord"},
            {"kind": "boundary", "sex_age": "doe", "text": "walked"},
        ]
    )
    assert [(at, column) for at, column, _ in entries.wrong(lines)] == [(1, "sex_age"), (3, "sex_age")]


def test_every_kind_has_its_row_and_every_column_of_it_is_one_of_the_ledger():
    """A new kind without a row, or a column that is renamed, would be noticed by nobody."""
    assert set(trade.TAKES) == set(trade.LEDGER_KINDS)
    for kind, of in trade.TAKES.items():
        assert {*of.must, *of.may} <= set(header("ledger")), kind
        assert set(of.units) <= set(trade.UNITS) and not {*of.must} & {*of.may}, kind
        usual = trade.LEDGER_KINDS[kind].unit
        assert not usual or ("unit" in of.may and (not of.units or usual in of.units)), kind
    rows = takes()
    assert [row["kind"] for row in rows][: len(trade.FORM_KINDS)] == list(trade.FORM_KINDS)
    told = {row["kind"]: row["words"] for row in rows}
    assert told["planted"] == "planted: in trees or acres, with kind of tree"
    assert told["deer"].endswith("; --sex-age must be there") and "or your own words" in told["weather"]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Ice storm, limbs down", "ice"),
        ("snow stake at the gate", "deep snow"),
        ("first snow", "first snow"),
        ("after the windstorm the ice", "storm"),
        ("stormy", ""),
        ("", ""),
    ],
)
def test_the_word_of_a_list_that_a_text_says_first(text, word):
    """Whole words alone, of two at one place the longer."""
    assert entries.said_in(text, trade.WEATHER) == word


@pytest.mark.parametrize(
    ("typed", "text", "line"),
    [
        ("ice storm", None, ("weather", "ice storm")),
        ("ice storm", "limbs down", ("weather", "ice storm; limbs down")),
        ("storm", "an ice storm", ("weather", "an ice storm")),
        ("walked the line", None, ("boundary", "walked the line")),
        ("dead trees", "by the creek", ("sick trees", "dead trees; by the creek")),
        ("sick trees", "by the creek", ("sick trees", "by the creek")),
        ("cut", "two loads", ("firewood", "two loads")),
        ("bees", "two hives", ("bees", "two hives")),
    ],
)
def test_a_word_that_names_more_than_its_kind_stays_in_the_words(typed, text, line):
    """An ice storm is weather, and which weather it was is not lost."""
    assert entries.with_word(typed, text) == line
