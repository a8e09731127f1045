"""Sentences on the heat of the house, each by hand from its figures."""

from dataclasses import replace
from datetime import date

from woodlot.estimate import Estimate, reason
from woodlot.say.house import heat
from woodlot.wood.heating import Household

NEED = Estimate(7.0, "cords", 5.5, 8.5, kind="assumptions", why=reason("as written"))
HOUSE = Household(
    dry_cords=4.5,
    dry_low_cords=4.5,
    dry_high_cords=4.5,
    noted_cords=0.0,
    drying_cords=0.0,
    later_cords=0.0,
    burned_cords=0.0,
    past_cords=0.0,
    in_count=False,
    cut_only=False,
    not_named=False,
    needed=NEED,
    dry_from=("place.toml",),
    dry_on=None,
    short=replace(NEED, value=2.5, low=1.0, high=4.0),
    cut_now_cords=7.0,
)


def test_a_house_that_is_short_by_hand():
    """Number, need with its range, and why; what is to be cut now."""
    assert heat(HOUSE) == (
        "2.5 cords short",
        "the house needs 7.0; 5.5 to 8.5, assumptions",
        "4.5 cords dry, by what place.toml says; the need is as you wrote it. For the next winter nothing is drying: "
        "cut 7.0 cords now. Wood cut now burns next winter or later.",
    )


def test_enough_dry_wood_and_none_to_cut():
    """Nothing short, nothing to cut; a need without a range has none beside it."""
    enough = replace(
        HOUSE, short=replace(NEED, value=0.0), cut_now_cords=0.0, needed=replace(NEED, low=None, high=None)
    )
    number, spread, why = heat(enough)
    assert (number, spread) == ("Enough dry wood", "the house needs 7.0")
    assert why.endswith("nothing is drying: no more need be cut for it.")


def test_who_says_what_is_dry():
    """Nobody; the day of a count; both, with the ends of the pace."""
    assert heat(replace(HOUSE, dry_from=()))[2].startswith(
        "No dry wood is noted, in place.toml or in the ledger; the need"
    )
    counted = replace(HOUSE, dry_on=date(2026, 11, 1))
    assert heat(counted)[2].startswith("4.5 cords dry, by what place.toml says of 1 Nov 2026; ")
    both = replace(counted, dry_from=("place.toml", "ledger"), dry_low_cords=3.0)
    assert heat(both)[2].startswith(
        "4.5 cords dry (3.0 to 4.5, assumptions), by what place.toml says of 1 Nov 2026 and the ledger; "
    )


def test_each_assumption_is_said_where_it_was_made_and_nowhere_else():
    """One sentence for each, in this order; of a count with a day "that day"."""
    said = {
        "burned_cords": (1.0, "1.0 cord burned already this winter."),
        "in_count": (True, "What the ledger has dry by now is taken to be in it."),
        "past_cords": (2.0, "Past winters without a note of burning are taken to have burned the need."),
        "cut_only": (True, "Wood noted only as cut is taken as split and stacked that day."),
        "not_named": (True, "Wood that is not named is taken as hard maple."),
    }
    for name, (value, sentence) in said.items():
        why = heat(replace(HOUSE, **{name: value}))[2]
        assert [one for _, one in said.values() if one in why] == [sentence]
    every = replace(HOUSE, **{name: value for name, (value, _) in said.items()})
    assert " ".join(sentence for _, sentence in said.values()) in heat(every)[2]
    assert "dry by that day is taken" in heat(replace(every, dry_on=date(2026, 11, 1)))[2]
