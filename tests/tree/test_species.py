"""Names, nicknames and the properties behind them."""

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import shipped


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Soft Maple", "red maple"),
        ("hard maple", "sugar maple"),
        ("popple", "quaking aspen"),
        ("ironwood", "eastern hophornbeam"),
        ("Quercus rubra", "northern red oak"),
        ("northern white cedar", "northern white-cedar"),
        (" white  pine ", "eastern white pine"),
        ("apple", "apple spp."),
    ],
)
def test_nicknames_lead_to_names(written, name):
    """Nicknames, scientific names, capitals, hyphens and blanks."""
    assert shipped("base").species.name(written) == name


@pytest.mark.parametrize(("written", "near"), [("suger maple", "sugar maple"), ("reed oak", "northern red oak")])
def test_an_unknown_name_tells_the_closest(written, near):
    """The message holds the name that was likely meant."""
    with pytest.raises(InputError, match=near):
        shipped("base").species.name(written)


def test_every_species_has_what_the_equations_need():
    """A group, hardwood or softwood, specific gravity and a name for each."""
    names = list(shipped("base").species.listed)
    assert len(names) == len(set(names)) == len(shipped("base").table("species"))
    assert np.isin(shipped("base").species.jenkins_group(names), range(1, 10)).all()
    assert (shipped("base").species.wood_property(names, "wood_sg") > 0.2).all()
    assert shipped("base").species.is_hardwood("aspen") and not shipped("base").species.is_hardwood("tamarack")


def test_columns_of_names_with_gaps():
    """A Series keeps its index; a missing name is group 0, no hardwood, NaN."""
    told = pd.Series(["aspen", None, "red oak"], index=[3, 4, 5])
    assert shipped("base").species.jenkins_group(told).tolist() == [6, 0, 9]
    assert shipped("base").species.is_hardwood(told).tolist() == [True, False, True]
    assert shipped("base").species.wood_property(told, "wood_sg").isna().tolist() == [False, True, False]


def test_a_categorical_with_unused_names_is_fine():
    """Only the names that occur are looked up."""
    told = pd.Categorical(["aspen"], categories=["aspen", "not a tree"])
    codes, known = shipped("base").species.codes(told)
    assert known[codes[0]] == "quaking aspen"


def test_no_nickname_belongs_to_two_species():
    """Each nickname and each scientific name leads to one species only."""
    rows = shipped("base").table("species")
    told = [n for names in rows["other_names"].dropna() for n in names.split(";")]
    assert len(told) == len(set(told))
    assert not set(told) & set(rows["species"])


def test_an_unknown_property_is_a_clear_error():
    """InputError, not a KeyError."""
    with pytest.raises(InputError, match="no column 'colour' in wood_properties"):
        shipped("base").species.wood_property("aspen", "colour")
