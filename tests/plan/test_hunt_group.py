"""The take of neighbors who pool: as one family on all their ground with all their kills, whoever did what."""

from dataclasses import replace
from datetime import date

import geopandas as gpd
import pandas as pd
import pytest
import shapely

from tests.deer.test_complete import drive
from tests.plan.test_hunt import survey
from woodlot.columns import header
from woodlot.deer.group import Family, family_of, kills, pooled
from woodlot.deer.options import DeerSettings
from woodlot.deer.record import record
from woodlot.land.parcels import acres_geodesic, local_crs
from woodlot.plan import hunt
from woodlot.region import shipped
from woodlot.say.hunt import first_screen, number_range_why
from woodlot.say.reasons import worded
from woodlot.say.words import two_figures

REGION = shipped("lake_states")
CRS = local_crs((-89.99, 46.0))
AS_OF = date(2026, 9, 1)
SIDE = (200 * 43_560) ** 0.5
PELLETS = survey({2024: 24, 2025: 24, 2026: 24})
NAMES = ("Ash", "Birch", "Cedar", "Elm", "Fir", "Hazel", "Oak", "Pine")


def box(column, row, wide=1, high=1):
    """Two hundred acres and their like, side by side, in degrees."""
    drawn = shapely.box(column * SIDE, row * SIDE, (column + wide) * SIDE, (row + high) * SIDE)
    return gpd.GeoSeries([drawn], crs=CRS).to_crs(4326).iloc[0]


def parcels(shape):
    """One parcel."""
    return gpd.GeoDataFrame({"parcel_id": ["p"]}, geometry=[shape], crs=4326)


def family(name, shape, **taken):
    """A family; taken: y2024=(does, bucks)."""
    by_fall = kills({int(fall[1:]): of for fall, of in taken.items()})
    return Family(name, float(acres_geodesic(shape)), shape, by_fall)


OWN = parcels(box(0, 0))


def eight(**taken):
    """Four by two squares of 200 acres, one's own the first; taken: name -> kills of it."""
    others = [family(n, box(k % 4, k // 4), **taken.get(n, {})) for k, n in enumerate(NAMES) if k]
    own = family_of("Ash", OWN, family("Ash", box(0, 0), **taken.get("Ash", {})).killed_by_fall)
    return pooled(own, others, region=REGION)


def told(group, mine=OWN, pellets=PELLETS, **more):
    """The deer of a place with a group, in words."""
    return worded(hunt.season(mine, pellets=pellets, group=group, name="Ash", as_of=AS_OF, region=REGION, **more))


def one_family(shape, **taken):
    """A family of all this ground, alone."""
    return pooled(family_of("Ash", parcels(shape), family("Ash", shape, **taken).killed_by_fall), [], region=REGION)


def test_eight_families_are_one_of_as_many_acres():
    """The same ground, kills and record: share, bank, does, bucks and chances are the same to the last digits."""
    spread = {"Birch": {"y2024": (1, 0)}, "Oak": {"y2024": (0, 2), "y2025": (1, 0)}}
    all_ground = box(0, 0, 4, 2)
    alone = told(one_family(all_ground, y2024=(1, 2), y2025=(1, 0)), mine=parcels(all_ground))
    group = told(eight(**spread))
    assert group.fall_per_sqmi.value == pytest.approx(alone.fall_per_sqmi.value, rel=1e-6)
    for what in ("does_per_yr", "bucks_per_yr", "growth_rate"):
        assert getattr(group.take, what) == pytest.approx(getattr(alone.take, what), rel=1e-5), what
    assert (group.take.does, group.take.bucks) == (alone.take.does, alone.take.bucks)
    assert group.take.does_per_yr > 0.2 and group.pool.families == 8 and alone.pool is None
    assert group.effective_ac == pytest.approx(alone.effective_ac, rel=1e-6)
    assert group.pool.acres == pytest.approx(1600, rel=1e-3) and group.acres == pytest.approx(200, rel=1e-3)


def some(many, **taken):
    """The first so many of the eight."""
    group = eight(**taken)
    return pooled(group.families[0], group.others[: many - 1], region=REGION)


def test_six_families_may_take_six_times_what_one_may_and_eight_are_held_by_the_cap():
    """Share by acres as long as the herd's risk allows: then what more ground would give is held down, and said."""
    one, six, all_of_them = (told(some(many)).take for many in (1, 6, 8))
    # more of the range is theirs, less is the neighbors': more herds stand over their first falls, and give more
    assert 6.0 <= six.does_per_yr / one.does_per_yr < 7.2
    assert all_of_them.does_per_yr < 8 * one.does_per_yr
    assert "held down by the risk for the herd." in all_of_them.does_words


def test_the_record_of_a_group_has_all_kills_and_one_family_s_counts():
    """A neighbor's doe is the family's own in the record; ages and milk stay those of one's own bag."""
    group = eight(Birch={"y2024": (1, 0)}, Ash={"y2024": (1, 1)})
    kept = record(OWN, year=2026, pellets=PELLETS, options=DeerSettings(), group=group, region=REGION)
    by_year = {fall.year: fall for fall in kept.falls}
    assert by_year[2024].family == (2.0, 1.0) and by_year[2024].ages is None and by_year[2023].family == (0.0, 0.0)
    assert kept.ground.own_ac == pytest.approx(1600, rel=1e-3)
    bare = record(OWN, year=2026, pellets=PELLETS, options=DeerSettings(), region=REGION)
    assert {f.year: f.pellets for f in kept.falls} == {f.year: f.pellets for f in bare.falls}
    assert kept.ground.neighbors_share < bare.ground.neighbors_share


def test_a_count_of_all_deer_is_one_of_one_s_own_ground():
    """Ten deer met by a drive of one's own 200 acres are as many a square mile, whoever pools."""
    counts = pd.DataFrame([drive(acres=200.0, bucks=2.0, does=4.0)]).reindex(columns=header("counts"))
    ways = [
        record(OWN, year=2026, counts=counts, options=DeerSettings(), group=g, region=REGION) for g in (None, eight())
    ]
    assert any(f.complete for f in ways[0].falls)
    assert [f.complete for f in ways[0].falls] == [f.complete for f in ways[1].falls]


def test_a_group_of_one_is_the_family_by_itself():
    """Every number as without a group."""
    bare = worded(hunt.season(OWN, pellets=PELLETS, name="Ash", as_of=AS_OF, region=REGION))
    assert replace(told(one_family(box(0, 0))), pool=None) == replace(bare, pool=None)


def test_the_order_of_families_moves_nothing():
    """Whichever file is read first."""
    group = eight(Birch={"y2024": (1, 0)})
    own = next(one for one in group.families if one.name == "Ash")
    turned = pooled(own, reversed(group.others), region=REGION)
    assert told(turned) == told(group)


def test_a_doe_taken_by_another_family_is_gone_for_all():
    """What Birch takes this fall goes off the group's, and the turn passes on."""
    before, after = told(eight()), told(eight(Birch={"y2026": (1, 0)}))
    assert before.take.does >= 1 and after.take.does == before.take.does - 1
    assert before.pool.next_doe_to != "Birch" or after.pool.next_doe_to != "Birch"
    assert after.take.already_taken.does == 1


def test_a_family_that_leaves_takes_its_share_along():
    """Four of five families have four fifths."""
    four, five = told(some(4)), told(some(5))
    assert four.take.does_per_yr / five.take.does_per_yr == pytest.approx(4 / 5, rel=0.1)
    assert (four.pool.families, five.pool.families) == (4, 5)


def test_the_take_is_said_to_be_for_all_and_whose_it_is():
    """Screen and plan, in the same words; one's own tags do not limit the group, and are said at one's turn."""
    deer = told(eight(), limits={"tags_doe": 0, "tags_buck": 0})
    (take,) = [row for row in first_screen(deer) if row.topic == "Take"]
    assert "at most, for the eight families together" in take.number and deer.take.does >= 1
    assert deer.pool.words in take.why and deer.pool.words in number_range_why(deer)[2]
    assert "for the eight families together" in number_range_why(deer)[0]
    assert (
        deer.take.does_words.count("; your group's share is") == 1 and "your group's are" in deer.take.neighbors_words
    )
    (meat,) = [row for row in first_screen(deer) if row.topic == "Meat"]
    assert "for the eight families together" in meat.number
    part = f"Your part of it by acres is about {two_figures(deer.take.meat_lb.value / 8)} pounds."
    assert meat.why.startswith(part) and part in number_range_why(deer)[2]
    assert number_range_why(deer)[1].endswith("pounds of meat, for the eight families together, assumptions")
    assert "Shares and kills are those of the eight families together" in deer.pool.words
    assert deer.pool.next_doe_to == "Ash" and "yours (woodlot group). You have no doe tag." in deer.pool.words
    others = told(eight(Ash={"y2025": (1, 0)}), limits={"tags_doe": 0})
    assert "Birch's (woodlot group)." in others.pool.words and "no doe tag" not in others.pool.words


def test_a_small_family_is_told_how_many_acres_would_make_a_doe():
    """Their share with its own makes one in five years; enough ground of its own says nothing."""
    small = box(0, 0, 0.3, 1)
    deer = told(one_family(small), mine=parcels(small))
    wanted = deer.pool.acres_wanted
    assert deer.take.does_per_yr < 1 / 10
    assert deer.take.does_per_yr * (60 + wanted) / 60 == pytest.approx(1 / 5, rel=1e-3)
    (take,) = [row for row in first_screen(deer) if row.topic == "Take"]
    assert "acres of neighbors who pool ground and take with you there would be one doe in 5 years" in take.why
    near = told(one_family(box(0, 0)))
    assert 1 / 10 < near.take.does_per_yr < 1 / 5 and near.pool is None, "a doe within ten years needs no neighbors"


def test_the_meat_of_ten_years_is_the_family_s_part():
    """Of six families each has a sixth of it, told of its own acres; what is wished for is the family's wish."""
    takes = [told(some(many), meat_lb=100.0).take for many in (6, 1)]
    six, one = (take.ten_years for take in takes)
    owed = [take.bank_yr[0] * take.does_per_yr for take in takes]  # a bank begins with half a doe, whoever shares it
    assert six.does - owed[0] / 6 == pytest.approx(one.does - owed[1], abs=0.25)
    assert six.bucks == pytest.approx(one.bucks, rel=0.25)
    assert "Deer from your 200 acres, as your part of the group's 1,200, can give about" in six.words
    assert "Deer from your 200 acres can give about" in one.words
    assert six.acres_for_all == pytest.approx(one.acres_for_all, rel=0.25)


def test_without_a_number_of_deer_no_acres_are_named():
    """Nothing counted: no take, no acres; in a group the turn alone is told."""
    assert told(one_family(box(0, 0)), pellets=None).pool is None
    group = told(eight(), pellets=None)
    assert not group.take.measured and "next doe is yours" in group.pool.words and "rests on" not in group.pool.words
