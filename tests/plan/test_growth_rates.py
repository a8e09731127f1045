"""How fast stands grow: by site and cores, held inside published bands, and by plots visited again."""

import datetime as dt
import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import PlaceError
from woodlot.place import read
from woodlot.plan import growth_rates, visits
from woodlot.plan.woods import run
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.season import season
from woodlot.stand.site import site_factors
from woodlot.tree.growth import dbh_growth_in, equations, own_figures

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
import growth_bands as trial
from needs_and_days import one_stand

BASE = shipped("base")
DAY = dt.date(2026, 11, 25)
PRINTED = Path(__file__).parents[1] / "printed"
Z = 1.6449


@pytest.fixture(scope="module")
def banded(tmp_path_factory):
    """Woods of each cover, size and site on one day, none with a core."""
    return season(read(trial.made(tmp_path_factory.mktemp("bands") / "home"), as_of=DAY))


@pytest.mark.parametrize(
    ("model", "low", "high", "sd", "rate"),
    [
        (5.7, 3.0, 4.0, 0.28, 3.621),
        (5.1, 2.0, 4.0, 0.45, 3.145),
        (2.0, 2.0, 4.0, 0.45, 2.0),
        (-0.4, 0.3, 1.5, 0.45, -0.4),
        (9.0, np.nan, np.nan, 0.45, 9.0),
        (6.0, 0.3, 2.0, 0.45, 2.0),
    ],
)
def test_growth_is_held_down_and_never_up_as_printed(model, low, high, sd, rate):
    """Forest ageing, section 6; under the middle of the band, not above 0 or without a band it is left alone; what both
    together give over the band (2.19 here) is its top.
    """
    told = growth_rates.held_pct(*(np.array([one]) for one in (model, low, high, sd)))
    assert told[0] == pytest.approx(rate, abs=5e-4)


def test_bands_go_by_cover_mean_diameter_and_age():
    """Poles under 9 in; aspen of 40 years is not under 40; without an age from the lowest to the highest row."""
    stands = pd.DataFrame(
        {
            "cover": ["northern hardwoods"] * 2 + ["aspen and birch"] * 4 + ["oak, uneven-aged", "pine", "hemlock"],
            "age_yr": [np.nan, np.nan, 39, 40, 70, np.nan, np.nan, 50, np.nan],
        }
    )
    told = growth_rates.bands_of(stands, np.array([8.99, 9.0] + [7.0] * 7), region=BASE)
    assert told.low_pct.tolist()[:-1] == [2.0, 1.2, 2.5, 0.5, 0.5, 0.5, 1.0, 1.2] and np.isnan(told.low_pct[-1])
    assert told.high_pct.tolist()[:-1] == [4.0, 3.0, 6.0, 2.5, 2.5, 6.0, 3.0, 4.75] and np.isnan(told.high_pct[-1])
    assert np.flatnonzero(told.of_basal).tolist() == [7]


def test_ten_years_of_each_stand_meet_what_it_is_held_to(banded):
    """Forty stands: each is at its own default or, where the default lies over the middle of its band, at what default
    and band give together, to a thousandth; none is over its band, none is lifted.
    """
    told = trial.rows(banded.place.folder)
    sd = np.hypot(told["place_log_sd"], told["stand_log_sd"])
    goal = growth_rates.held_pct(*(told[n].to_numpy() for n in ("default_pct", "band_low_pct", "band_high_pct")), sd)
    assert told["mid"].to_numpy() == pytest.approx(goal, rel=1e-3)
    assert (told["mid"] <= 1.001 * told[["default_pct", "band_high_pct"]].min(axis=1)).all()
    assert 20 < told["held"].sum() < 40
    assert (told["low"] < told["mid"]).all() and (told["mid"] < told["high"]).all()


def test_a_stand_with_cores_of_its_own_is_only_warned_of(banded):
    """Twenty cores that grew as was expected: the poles keep their default, over the band, and it is said."""
    woods = banded.woods
    plain = woods.stands.assign(backed=woods.stands["stand_id"].str.contains("poles"))
    told = growth_rates.hold(replace(woods, stands=plain), region=BASE)
    poles = plain["backed"].to_numpy()
    assert not told.stands["held"][poles].any() and (told.stands["held_share"][poles] == 1.0).all()
    words = [said(one) for one in growth_rates.outside_bands(told.stands, 2.0, region=BASE)]
    _, held, beside = words[:3]
    assert held.startswith("Growth a year is held down") and "poles" not in held
    assert "northern hardwoods / poles / loam" in beside and "published 2 to 4%" in beside
    bare = [one for one in plain.loc[~poles, "stand_id"] if one.endswith("nothing known") and "50 years" not in one]
    assert all(one in words[0] for one in bare) and "loam" not in words[0] and "0.44 to 2.3 times" in words[0]
    again = growth_rates.hold(told, region=BASE)
    assert again.factor["mid"] == pytest.approx(told.factor["mid"], rel=1e-3), "held twice is held once"


def test_all_stands_together_over_what_states_grow_is_warned_of(banded):
    """3.1 % is the bound, and no word where cores stand behind every stand."""
    stands = banded.woods.stands
    over, under = ([one.key for one in growth_rates.outside_bands(stands, pct, region=BASE)] for pct in (3.11, 3.09))
    assert "growth over states" in over and "growth over states" not in under
    backed = growth_rates.outside_bands(stands.assign(backed=True, held=False), 9.0, region=BASE)
    assert "growth over states" not in [one.key for one in backed]


def test_low_and_high_lie_by_both_unknown_parts(banded):
    """Nothing known: sqrt(.45^2 + .23^2) = .505, so .435 and 2.30 of the middle; with a soil .419: .502 and 1.99. Red
    pine of a written age and site index by its own equation: .8 and 1.2 of it. Cores narrow all by the same share.
    """
    woods, ids = banded.woods, banded.woods.stands["stand_id"].tolist()
    k = [ids.index(f"northern hardwoods / poles / {site}") for site in ("nothing known", "dry sand")]
    for at, sd in zip(k, (0.5054, 0.4188), strict=True):
        for case, sign in (("low", -1), ("high", 1)):
            told = woods.factor[case][:, at] / woods.factor["mid"][:, at]
            assert told == pytest.approx(np.exp(sign * Z * sd), rel=1e-3)
    pine = ids.index("pine / 50 years / site index -10")
    mid = woods.even["mid"][pine]
    assert (woods.even["low"][pine] / mid, woods.even["high"][pine] / mid) == pytest.approx((0.8, 1.2))
    sd = np.hypot(*(woods.stands[name][pine] for name in ("place_log_sd", "stand_log_sd")))
    assert sd == pytest.approx(-np.log(0.8) / Z, rel=1e-3)


def test_what_grew_on_dry_sand_is_held_by_the_low_end():
    """Bands of 2020 on dry sand (UMBS, one season, 80 to 110 sq ft of larger trees; 95 here), trees of 5 in and more:
    all of them together grew .45 of the middle, over the low end of a wood of which nothing is known, and .79 of it
    with its soil written, well inside. By kind and size bigtooth aspen and the larger red maples lie inside as well;
    overtopped red maples of 5 to 8 in do not (.14 of the anchor, low end .23): BAL alone makes them too fast.
    """
    told = pd.read_csv(PRINTED / "umbs_bands_2020.csv")
    told = told[told["mean_dbh_in"] >= 5.0].reset_index(drop=True)
    expected = dbh_growth_in(
        equations(told["species"], region=BASE)[0], told["mean_dbh_in"].to_numpy(), np.full(4, 95.0)
    )
    sand = site_factors(told["species"], ["dry sand"], [np.nan], [""], region=BASE)[0][:, 0]
    low = {name: np.exp(-Z * np.hypot(sd, 0.23)) for name, sd in (("nothing", 0.45), ("sand", 0.35))}
    grew, n = told["growth_in"], told["trees"]
    whole = {"nothing": (n * grew).sum() / (n * expected).sum(), "sand": (n * grew).sum() / (n * expected * sand).sum()}
    assert low["nothing"] < whole["nothing"] < 0.5 and low["sand"] < whole["sand"] < 1.0
    inside = (grew / (expected * sand) > low["sand"]).tolist()
    assert dict(zip(told["dbh_class_in"], inside, strict=True)) == {
        "5-8": False,
        "8-11": True,
        "11-15": True,
        "15-25": True,
    }
    assert low["sand"] * sand[0] < 0.15 / 0.20  # where its range ended until it went by the site


@pytest.mark.parametrize(
    ("elsewhere", "own", "share"), [(0, 0, 0.90), (3, 0, 0.90), (12, 0, 0.90), (10, 2, 0.90), (4, 8, 0.86)]
)
def test_nine_ranges_in_ten_hold_the_growth_of_a_stand(elsewhere, own, share):
    """Places drawn with sites off by .45, stands by .23 and trees by .66 (logarithms): cores of other stands and of the
    stand itself move and narrow the range, and it holds what the stand grows nine times in ten. Where most cores of
    the place stand in the stand itself they count in both levels, and a few ranges less hold it.
    """
    draw, number, held = np.random.default_rng(elsewhere * 10 + own), 700, 0
    stands = [str(one) for one in range(8)]
    at = [str(1 + k % 7) for k in range(elsewhere)] + ["0"] * own
    for _ in range(number):
        true = np.exp(0.45 * draw.standard_normal() + 0.23 * draw.standard_normal(8))
        trees = np.exp(0.60 * draw.standard_normal(len(at)) - 0.18)  # a spread of .66 of the mean
        rows = pd.DataFrame({"stand_id": at, "species": "sugar maple", "dbh_in": 12.0, "years": 10.0})
        rows["growth_in"] = 2.0 * true[[int(one) for one in at]] * trees
        told = own_figures(rows, np.full(len(at), 0.2), stands, ["sugar maple"], 0.45, BASE)
        off = np.log(true[0] / told.factor[0, 0]) / np.hypot(told.place_log_sd[0], told.stand_log_sd[0])
        held += abs(off) <= Z
    assert held / number == pytest.approx(share, abs=0.03)


def test_plants_are_read_as_soils_and_move_growth(small_place):
    """Blueberries are dry sand: its sugar maples grow .6 of what they did without the word, and a remark says so."""
    path = small_place.folder / "stands.geojson"
    bare = json.loads(path.read_text())
    for soil in (None, "Blueberries"):
        bare["features"][0]["properties"] |= {"soil": soil, "site_index_ft": None}
        path.write_text(json.dumps(bare))
        place = read(small_place.folder, as_of=DAY)
        asked = season(place)
        woods = asked.woods
        free = woods.factor["mid"][:, 0] / woods.stands["held_share"].iloc[0]
        if soil is None:
            before, s = free, woods.species.index("sugar maple")
    assert place.stands["soil"].iloc[0] == "dry sand" and place.stands["soil"].iloc[1:].isna().all()
    assert any('"blueberries" is read as dry sand' in one for one in place.warnings)
    assert free[s] < 0.9 * before[s]


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("moon dust", "Must be loam, silt, sandy loam, dry sand, wet or shallow, or a plant that tells it"),
        ("lome", "Closest words: loam"),
        ("leeks and blueberry", "They speak of dry sand or loam. Write which it is."),
        ("leeks, moon dust", "Must be loam"),
    ],
)
def test_a_soil_nobody_knows_is_a_fault_with_the_list(small_place, written, told):
    """Also several words that mean several soils: nothing is guessed."""
    path = small_place.folder / "stands.geojson"
    path.write_text(path.read_text().replace('"stand_id": "1"', f'"stand_id": "1", "soil": "{written}"', 1))
    with pytest.raises(PlaceError) as caught:
        read(small_place.folder, as_of=DAY)
    (fault,) = caught.value.faults
    assert told in fault.remedy and (fault.row, fault.column, fault.found) == (2, "soil", written)


@pytest.mark.parametrize("written", ["Sandy Loam", "sweet fern; blueberries", "trillium and ramps", "?", ""])
def test_words_that_agree_are_one_soil_and_a_blank_is_none(small_place, written):
    """Capitals, plurals and several plants of one soil; a question mark says that nobody knows."""
    path = small_place.folder / "stands.geojson"
    path.write_text(path.read_text().replace('"stand_id": "1"', f'"stand_id": "1", "soil": "{written}"', 1))
    told = read(small_place.folder, as_of=DAY).stands["soil"].iloc[0]
    means = {"Sandy Loam": "sandy loam", "sweet fern; blueberries": "dry sand", "trillium and ramps": "loam"}
    assert told == means[written] if written in means else pd.isna(told)


def test_every_word_for_a_soil_means_a_soil_of_the_table():
    """And every soil has a row for any species."""
    soils = BASE.table("site_growth")
    assert set(BASE.table("soil_words")["soil"]) == set(soils["soil"])
    assert set(soils.loc[soils["species"] == "any", "soil"]) == set(soils["soil"])


def twice(trees_then, trees_now, plots=("1",), note="", years=10):
    """What plots of stand 1 visited in two Octobers tell; trees as (plot, tree, species, dbh, alive)."""
    rows = [
        {"plot_id": one, "stand_id": "1", "kind": "prism", "baf_sqft_per_ac": 10.0, "slope_pct": np.nan}
        for one in plots
    ]
    then, now = (pd.DataFrame(rows).assign(date=pd.Timestamp(year, 10, 9)) for year in (2016, 2016 + years))
    names = ["plot_id", "tree", "species", "dbh_in", "alive"]
    old, new = (pd.DataFrame(trees, columns=names) for trees in (trees_then, trees_now))
    book = pd.DataFrame(columns=["line", "date", "stand_id", "kind", "amount", "unit", "text", "corrects"])
    if note:
        book.loc[0] = [
            1,
            pd.Timestamp(2020, 1, 5),
            note if note != "nowhere" else None,
            "firewood",
            2.0,
            "cord",
            "",
            None,
        ]
    return visits.again(then, old.assign(date=then["date"].iloc[0]), now, new, book, region=BASE)


def test_fates_of_numbered_trees():
    """Tree 1 lives, 2 stands dead, 3 is gone, 4 was dead, 5 is another kind now: two of three died."""
    old = [("1", str(k), "sugar maple", 10.0, k != 4) for k in range(1, 6)]
    new = [("1", "1", "sugar maple", 11.0, True), ("1", "2", "sugar maple", 10.0, False), ("1", "5", "oak", 11.0, True)]
    told = twice(old, new).fates
    assert told["died"].tolist() == [False, True, True] and (told["years"] == 10).all()
    for note in ("1", "nowhere"):
        assert twice(old, new, note=note).fates["died"].tolist() == [False, True], "tree 3 may have been felled"
    assert twice(old, new, note="2").fates["died"].tolist() == [False, True, True]
    nameless = [*new, ("1", None, "sugar maple", 12.0, True)]
    assert twice(old, nameless).fates["died"].tolist() == [False, True], "tree 3 may have lost its number"
    assert not len(twice(old, nameless[-1:]).fates), "no tree of that plot is known again"


def test_deaths_are_pooled_over_the_place_by_hand(banded):
    """40 maples of 10 in on loam, ten years: expected 40 (1 - (1 - m)^10), m = 1 % times the crowding of their stand
    plus .02 (10/30)^6; 8 died: (8 + 10)/(expected + 10) on all usual deaths, and more die in every stand's run.
    """
    woods = banded.woods
    name = "northern hardwoods / poles / loam"
    k = woods.stands["stand_id"].tolist().index(name)
    fates = pd.DataFrame(
        {"stand_id": name, "species": "sugar maple", "dbh_in": 10.0, "years": 10, "died": False}, range(40)
    )
    fates.loc[:7, "died"] = True
    none = np.zeros(woods.factor["mid"].shape, dtype=bool)
    told = growth_rates.died(woods, fates, none, region=BASE)
    density = growth_rates.grow.relative_density(woods.trees, woods.sg, region=BASE)[k]
    yearly = 0.01 * max(1.0, 1.0 + 5.0 * (density - 0.6)) + 0.02 * (10.0 / 30.0) ** 6
    expected = 40 * (1 - (1 - yearly) ** 10)
    assert told.death_factor == pytest.approx(18.0 / (expected + 10.0), rel=1e-6)
    assert f"8 of 40 numbered trees died between two visits, {expected:.1f} were foreseen" in said(told.visits[0])
    tabled = (woods.stands["way"] == "stand table").to_numpy()
    dead = [run(one, 5, region=BASE).mortality[:, tabled] for one in (woods, told)]
    assert dead[1][0] == pytest.approx(told.death_factor * dead[0][0], rel=1e-9)
    apart = growth_rates.died(woods, fates, ~none, region=BASE)
    assert apart.death_factor == 1.0 and apart.visits == ()


def test_deaths_of_a_cover_fitted_to_remeasured_trees_by_hand(banded):
    """Maples of 10 in among oaks, whose equations and shares of deaths come from one wood: its own crowding, 1.21, is
    in the shares already, and deaths by size begin at 1.2 of the usual largest.
    """
    woods, name = banded.woods, "oak / all / loam"
    k = woods.stands["stand_id"].tolist().index(name)
    fates = pd.DataFrame(
        {"stand_id": name, "species": "red maple", "dbh_in": 10.0, "years": 10, "died": False}, range(40)
    )
    none = np.zeros(woods.factor["mid"].shape, dtype=bool)
    told = growth_rates.died(woods, fates, none, region=BASE)
    density = growth_rates.grow.relative_density(woods.trees, woods.sg, region=BASE)[k]
    yearly = 0.01 * max(1.0, 1.0 + 5.0 * (density - 0.6)) / 1.21
    plain = 40 * (1 - (1 - yearly) ** 10)
    (facts,) = [dict(one.facts) for one in told.visits]
    assert facts["expected"] == pytest.approx(plain, rel=1e-9), "ten inches are far from 1.2 of the usual largest"
    assert told.death_factor == pytest.approx(10.0 / (facts["expected"] + 10.0), rel=1e-9)


def test_the_band_of_a_stand_goes_by_its_age_when_its_trees_stood_so(banded):
    """Aspen of 50 years, measured eleven seasons ago: the band of 39 years, and held to that; today that of 50."""
    woods, name = banded.woods, "aspen and birch / 50 years / site index -10"
    k = woods.stands["stand_id"].tolist().index(name)
    ago = np.where(np.arange(len(woods.stands)) == k, 11.0, 0.0)
    then, now = (growth_rates.hold(woods, one, region=BASE).stands.iloc[k] for one in (ago, 0.0))
    assert (then["band_low_pct"], then["band_high_pct"]) == (2.5, 6.0)
    assert (now["band_low_pct"], now["band_high_pct"]) == (0.5, 2.5)
    assert then["default_pct"] > now["default_pct"] and then["growth_pct"] > now["growth_pct"]


def test_growth_since_the_plots_goes_by_the_age_on_their_day(tmp_path):
    """Aspen of 36 years on the day of its plots, five seasons on: what it was foreseen to be that day, not what aspen
    of 41 years, whose band is lower, would have grown.
    """
    stand = {"cover": "aspen and birch", "age_yr": 36}
    early = one_stand(tmp_path / "early", 40.0, stand, 5, ["quaking aspen"] * 9)
    late = one_stand(tmp_path / "late", 40.0, stand | {"age_yr": 41}, 5, ["quaking aspen"] * 9)
    then, now = (season(read(early, as_of=DAY)).woods, season(read(late, as_of=dt.date(2031, 11, 25))).woods)
    assert now.stands["held"].all() and not then.stands["held"].any() and now.stands["seasons"].tolist() == [5]
    foreseen = run(then, 5, region=BASE).basal[-1]
    assert now.stands["basal"].to_numpy() == pytest.approx(foreseen, rel=1e-6)


def test_of_three_visits_the_last_two_are_compared():
    """Plots of 2006, 2016 and 2026: ten years lie between, and the trees are those of 2016."""
    day = {year: pd.Timestamp(year, 10, 9) for year in (2006, 2016, 2026)}
    plot = {"plot_id": "1", "stand_id": "1", "kind": "prism", "baf_sqft_per_ac": 10.0, "slope_pct": np.nan}
    tree = {"plot_id": "1", "tree": "1", "species": "sugar maple", "alive": True}
    earlier = pd.DataFrame([plot | {"date": day[year]} for year in (2006, 2016)])
    trees = pd.DataFrame([tree | {"date": day[year], "dbh_in": dbh} for year, dbh in ((2006, 8.0), (2016, 10.0))])
    book = pd.DataFrame(columns=["line", "date", "stand_id", "kind", "amount", "unit", "text", "corrects"])
    now, last = pd.DataFrame([plot | {"date": day[2026]}]), pd.DataFrame([tree | {"dbh_in": 11.5}])
    for rows in (earlier, earlier[::-1]):
        told = visits.again(rows, trees, now, last, book, region=BASE)
        assert told.twice[["years", "growth_in"]].to_numpy().tolist() == [[10, 1.5]]
        assert told.fates[["years", "dbh_in", "died"]].to_numpy().tolist() == [[10, 10.0, False]]
    bare = trees.assign(tree=None), last.assign(tree=None)
    (moved,) = visits.again(earlier, bare[0], now, bare[1], book, region=BASE).moves.to_dict("records")
    assert moved["since"] == day[2016] and moved["years"] == 10.0


def test_basal_area_of_plots_without_numbers_by_hand():
    """Three plots of 8, 9 and 10 prism trees, ten years later 9, 11 and 13: 2 sq ft an acre and year; the error is that
    of 1, 2, 3 and of whole trees counted twice, 1/6 each: sqrt((1 + 1/6)/3).
    """
    old = [(str(p), None, "sugar maple", 10.0, True) for p in (1, 2, 3) for _ in range(7 + p)]
    new = [(str(p), None, "sugar maple", 11.0, True) for p in (1, 2, 3) for _ in range(7 + 2 * p)]
    new += [("1", None, "sugar maple", 11.0, False)] * 4
    (told,) = twice(old, new, plots=("1", "2", "3")).moves.to_dict("records")
    assert (told["plots"], told["years"], told["sqft_per_yr"]) == (3, 10.0, 2.0)
    assert told["se"] == pytest.approx(np.sqrt((1.0 + 1.0 / 6.0) / 3.0))


def test_what_plots_without_numbers_tell_moves_growth_by_its_error(banded):
    """Plots that gained what was foreseen change nothing but the range; exact ones at half of it take the live growth
    to half of it, by their weight; two plots say nothing. What was cut between is added.
    """
    woods, name = banded.woods, "northern hardwoods / sawtimber / nothing known"
    k = woods.stands["stand_id"].tolist().index(name)
    path = run(woods, 1, columns=np.array([k]), region=BASE)
    grew, rest = path.survivor[0, 0], (path.ingrowth - path.mortality)[0, 0]
    row = woods.stands.iloc[k]

    def told(live, se, plots=5, cut_sqft=0.0):
        cords = 10.0 * cut_sqft / row["basal"] * row["cords_then"] * row["acres"]
        days = {"since": pd.Timestamp(2016, 10, 9), "until": pd.Timestamp(2026, 10, 9)}
        gained = live * grew + rest - cut_sqft
        moves = pd.DataFrame({"plots": plots, **days, "years": 10.0, "sqft_per_yr": gained, "se": se}, index=[name])
        return growth_rates.moved(woods, moves.assign(cut_cords=cords), region=BASE)

    sd = np.hypot(row["place_log_sd"], row["stand_log_sd"])
    error = 0.1 * grew / 0.5
    weight = sd**2 / (sd**2 + 0.2**2)
    half = told(0.5, 0.1 * grew)
    assert error == 0.2 * grew and half.factor["mid"][:, k] == pytest.approx(
        0.5**weight * woods.factor["mid"][:, k], rel=1e-6
    )
    assert half.stands["place_log_sd"][k] == pytest.approx(row["place_log_sd"] * np.sqrt(1 - weight))
    low = half.factor["low"][:, k] / half.factor["mid"][:, k]
    assert low == pytest.approx(np.exp(-Z * sd * np.sqrt(1 - weight)), rel=1e-3)
    others = np.arange(len(woods.stands)) != k
    assert half.factor["low"][:, others] == pytest.approx(woods.factor["low"][:, others], rel=1e-12)
    assert told(1.0, 0.3).factor["mid"][:, k] == pytest.approx(woods.factor["mid"][:, k], rel=1e-6)
    assert told(0.5, 0.1, plots=2) is woods
    cut = told(1.0, 1e-9, cut_sqft=0.4)
    assert cut.factor["mid"][:, k] == pytest.approx(woods.factor["mid"][:, k], rel=1e-6)
    assert "by 5 plots that weigh" in said(half.visits[0])
    weighed = [told(0.5, 0.1 * grew, cut_sqft=cut).factor["mid"][0, k] for cut in (0.0, 5.0)]
    assert weighed[0] < weighed[1] < woods.factor["mid"][0, k], "what was cut is not known to a hair"


def test_cores_are_compared_with_what_their_site_lets_grow(banded):
    """The same stand on loam and on dry sand: sugar maples that grow .6 as fast on the sand are as its site says, so
    the factor of both is the same share of its site.
    """
    woods = banded.woods
    told = []
    for soil, share in (("loam", 1.0), ("dry sand", 0.6)):
        bored = {"stand_id": f"northern hardwoods / poles / {soil}", "species": "sugar maple", "dbh_in": 7.0}
        cores = pd.DataFrame([bored | {"years": 10.0, "growth_in": 0.8 * share}] * 3)
        k = woods.stands["stand_id"].tolist().index(bored["stand_id"])
        rates = growth_rates.factors(woods.trees, woods.species, woods.stands, cores, BASE)
        told.append(rates.factor["mid"][woods.species.index("sugar maple"), k] / share)
    assert told[0] == pytest.approx(told[1], rel=0.01) and told[0] < 0.9


def test_young_and_broken_stands_are_outside_no_band(banded):
    """Trees too small to measure grow without bound in percent, what falls apart shrinks: neither is named."""
    stands = banded.woods.stands.assign(held=False, growth_pct=20.0)
    for apart in ("young", "past_age"):
        keys = [one.key for one in growth_rates.outside_bands(stands.assign(**{apart: True}), 2.0, region=BASE)]
        assert "growth beside bands" not in keys
    assert "growth beside bands" in [one.key for one in growth_rates.outside_bands(stands, 2.0, region=BASE)]
