"""The columns of the hand-in tables: declared once, complete, converted exactly."""

import pytest
from pydantic import ValidationError

from woodlot import columns, trade, units
from woodlot.column_kinds import METRIC, metric_names, unit_of
from woodlot.place.settings import SETTINGS
from woodlot.region import shipped

UNIT_SUFFIXES = ("_in", "_ft", "_ac", "_acres", "_lb", "_yr", "_pct", "_sqmi", "_cord", "_bdft", "_cuyd", "_f")


def test_every_column_says_what_it_means():
    """No column without words, none twice in a table."""
    for models in (columns.TABLES, SETTINGS):
        rows = columns.listing(models)
        assert all(row["meaning"] for row in rows)
        assert len({(row["table"], row["column"]) for row in rows}) == len(rows)


def test_the_meaning_of_a_preference_names_every_class():
    """A mapping has no list of words of its own: they stand in its meaning, in their order."""
    meanings = {row["column"]: row["meaning"] for row in columns.listing(SETTINGS)}
    assert meanings["preference"].endswith(f": {', '.join(trade.BROWSE)}")


@pytest.mark.parametrize(
    "row", columns.listing() + columns.listing(SETTINGS), ids=lambda r: f"{r['table']}.{r['column']}"
)
def test_a_name_with_a_unit_has_a_unit_and_every_number_has_limits(row):
    """dbh_in says inches; numbers carry least and largest values, least below largest."""
    if row["column"].endswith(UNIT_SUFFIXES) and row["type"] == "number":
        assert row["unit"]
    if row["type"] in ("number", "whole number"):
        assert row["low"] is not None and row["high"] is not None and row["low"] < row["high"]


def test_headings_follow_the_declared_order():
    """The heading of trees.csv, as a family finds it in a new place."""
    assert columns.header("trees") == [
        "plot_id",
        "tree",
        "species",
        "dbh_in",
        "height_ft",
        "merch_ft",
        "logs_16ft",
        "count",
        "count_twice",
        "cull_pct",
        "alive",
        "quality",
        "date",
    ]
    assert columns.must_have("trees") == ["plot_id", "species", "dbh_in"]


def test_metric_twins_by_hand():
    """30.48 cm are 12 in; 30 m are 98.425 ft; 2 m2/ha are 2 x 10.7639 sq ft on 2.47105 ac; -18 C is -0.4 F."""
    turn = {pair: lambda v, f=factor, p=plus: v * f + p for pair, (factor, plus) in METRIC.items()}
    assert turn["cm", "in"](30.48) == pytest.approx(12, abs=1e-12)
    assert turn["mm", "in"](25.4) == pytest.approx(1, abs=1e-12)
    assert turn["m", "ft"](30) == pytest.approx(98.425, abs=5e-4)
    assert turn["m2/ha", "sq ft/ac"](2) == pytest.approx(2 * 10.7639 / 2.47105, abs=1e-4)
    assert turn["ha", "ac"](1) == pytest.approx(units.AC_PER_HA)
    assert turn["C", "F"](-18) == pytest.approx(-0.4)


def test_every_metric_twin_can_be_converted():
    """A twin's unit and its column's unit stand together in the table of conversions."""
    twins = 0
    for model in columns.TABLES.values():
        for field in model.model_fields.values():
            for measured in metric_names(field).values():
                assert (measured, unit_of(field)) in METRIC
                twins += 1
    assert twins > 15


def test_a_row_model_checks_one_row():
    """The models also stand alone: a tree of 122 inches is refused, one of 12.2 is not."""
    row = {"plot_id": "1", "species": "Sugar  Maple", "dbh_in": "12.2", "alive": "no"}
    tree = columns.Trees.model_validate(row)
    assert (tree.species, tree.dbh_in, tree.count, tree.alive) == ("sugar maple", 12.2, 1, False)
    with pytest.raises(ValidationError, match="less than or equal to 60"):
        columns.Trees.model_validate({**row, "dbh_in": "122"})


def test_sex_and_age_are_those_of_the_bag():
    """The ledger knows the same eight kinds of deer as the bag."""
    kinds = {row["table"]: row["type"] for row in columns.listing() if row["column"] == "sex_age"}
    assert kinds["bag"] == kinds["ledger"] and kinds["bag"].count(",") == 7


def test_log_rules_that_may_be_chosen_include_every_region_s_choice():
    """The default of the base region is one of the rules a family may choose."""
    rules = next(r["type"] for r in columns.listing(SETTINGS) if r["column"] == "log_rule").split(", ")
    assert shipped("base").choice("log_rule") in rules
