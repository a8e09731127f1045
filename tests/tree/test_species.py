"""Names, nicknames and the properties behind them."""

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import names, shipped
from woodlot.species import spaced


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Swamp Maple", "red maple"),
        ("hard maple", "sugar maple"),
        ("popple", "aspen"),
        ("Soft maple", "soft maple"),
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
    listed = list(shipped("base").species.listed)
    assert len(listed) == len(set(listed)) == len(shipped("base").table("species"))
    assert np.isin(shipped("base").species.jenkins_group(listed), range(1, 10)).all()
    assert (shipped("base").species.wood_property(listed, "wood_sg") > 0.2).all()
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
    assert known[codes[0]] == "aspen"


@pytest.mark.parametrize("region", names())
def test_words_lead_to_kinds_of_the_list(region):
    """Each word stands once, is no plain name, and means one kind of the list, or some that it says."""
    known, rows = shipped(region).species, shipped(region).table("species_words")
    words = rows["word"].map(spaced)
    assert words.is_unique and set(rows["form"]) == {"name", "code"}
    assert not set(words) & {spaced(name) for name in known.listed}
    assert {kind for kinds in rows["kind"].dropna() for kind in kinds.split(";")} <= set(known.listed)
    assert set(known.asked) == set(words[rows["kind"].isna() | rows["kind"].str.contains(";", na=False)])


def test_an_unknown_property_is_a_clear_error():
    """InputError, not a KeyError."""
    with pytest.raises(InputError, match="no column 'colour' in wood_properties"):
        shipped("base").species.wood_property("aspen", "colour")
