"""Defaults of the deer chapter: regions hold their own figures where a source gives them, else those of the base."""

from pathlib import Path

import pandas as pd
import pytest

from woodlot.deer import defaults, meat
from woodlot.errors import InputError
from woodlot.region import names, shipped
from woodlot.trade import SEX_AGE, UNTOLD

PRINTED = Path(__file__).parent.parent / "printed"
AC_PER_HA = 2.47105


def test_home_ranges_and_boned_meat_lie_among_the_published_ones():
    """A doe's year is that of 89 does of northern Lower Michigan; a grown buck's lies above the seasonal means; boned
    meat a dressed pound lies under a good butcher's clean kill, and its range holds that.
    """
    base = shipped("base")
    ranges = pd.read_csv(PRINTED / "deer_home_range.csv")
    doe = ranges[ranges["animals"].eq("females n=89")]["home_range_ha"].iloc[0]
    assert defaults.default("home_range_doe", base) == round(doe * AC_PER_HA)
    bucks = ranges[ranges["animals"].str.startswith("mature bucks")]["home_range_ha"] * AC_PER_HA
    low, high = defaults.default_range("home_range_buck", base)
    assert bucks.max() < defaults.default("home_range_buck", base) < high and low < bucks.max()
    boned = pd.read_csv(PRINTED / "deer_meat_yield.csv").set_index("quantity").loc["boneless per dressed"]
    assert defaults.default("boneless_per_dressed", base) < boned["low"].min()
    assert defaults.default_range("boneless_per_dressed", base)[1] > boned[["value", "high"]].max().max() >= 0.5


def test_a_region_without_its_own_figure_takes_the_base():
    """The pellet rate, home ranges and vital rates are the same in every region: no source tells them apart."""
    for name in ("pellet_rate", "home_range_doe", "regen_limit"):
        assert {defaults.default(name, shipped(r)) for r in names()} == {defaults.default(name, shipped("base"))}


def test_a_region_adds_no_default_that_the_base_does_not_have():
    """Laid over the base, every region has the same names in the same order, each once."""
    base = list(shipped("base").table("defaults_deer")["name"])
    assert len(set(base)) == len(base) > 50
    assert all(list(shipped(r).table("defaults_deer")["name"]) == base for r in names())


def test_weights_of_the_northeast_are_from_its_check_stations():
    """Yearling buck 114 lb, grown doe 106 lb dressed; the range holds the middle; six classes as everywhere."""
    assert meat.dressed_lb("yearling buck", shipped("northeast")) == (114.0, 102.0, 120.0)
    for sex_age in set(SEX_AGE) - set(UNTOLD):
        middle, low, high = meat.dressed_lb(sex_age, shipped("northeast"))
        assert low <= middle <= high


def test_an_unknown_default_is_refused():
    """A name that is in neither table is a clear stop."""
    with pytest.raises(InputError, match="no row named"):
        defaults.default("antlers", region=shipped("base"))
