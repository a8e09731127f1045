"""Jobs a household can do: days by hours, entries as jobs, stove wood apart from logs, salvage, wishes, wants once."""

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.plan import labor, scheduled, stand_entries, stove_wood, works
from woodlot.plan.schedule import Limits, Prescriptions, solve
from woodlot.plan.schedule_trials import WOODS, in_the_way
from woodlot.plan.woods import run
from woodlot.plan.woods_today import losing
from woodlot.plan.works import COLUMNS
from woodlot.region import shipped
from woodlot.say import cut as say_cut
from woodlot.say.reasons import said
from woodlot.say.words import rounded
from woodlot.season import season
from woodlot.stand.grow import classes
from woodlot.stand.judged import GROUPS, Judged
from woodlot.units import basal_sqft
from woodlot.wood import products
from woodlot.wood.cords import heat_mmbtu_per_cord

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
import needs_and_days as trial

BASE = shipped("base")
DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def otter():
    """The sample on one day."""
    return trial.based(trial.SAMPLE)


@pytest.fixture(scope="module")
def aspen(tmp_path_factory):
    """39 acres of old aspen."""
    return trial.based(trial.old_aspen(tmp_path_factory.mktemp("aspen") / "home"))


def plan(base, stands=None, **more):
    """A schedule of ten winters for a need of firewood alone."""
    given = {"stove": base.stove, "need_cords": 7.0, "region": base.place.region} | more
    return scheduled.scheduled(base.woods, base.ceilings, base.to_work if stands is None else stands, 2026, **given)


def test_hours_of_a_cord_by_hand():
    """8 h at 529 ft and where no road is drawn; 700 ft: 8 + .000930 x 171 = 8.159; at the road 8 - .49197 = 7.508; logs
    2.5 h and the same way; half as long again on steep ground.
    """
    stove, logs = labor.hours_per_cord(8.0, np.array([529.0, np.nan, 700.0, 0.0]), region=BASE)
    assert stove == pytest.approx([8.0, 8.0, 8.15903, 7.50803]) and logs == pytest.approx(stove - 5.5)
    steep, _ = labor.hours_per_cord(8.0, np.array([700.0]), 1.5, region=BASE)
    assert steep == pytest.approx([12.238545])
    assert labor.day_hours(BASE) == 6.0 and labor.pace(None, region=BASE)[:2] == (8.0, False)
    assert labor.pace((6.0, 1), region=BASE).hours_per_cord == pytest.approx(8 * 0.75**0.7526, abs=1e-3)


def test_the_familys_own_pace_makes_days_and_is_told(otter):
    """Half the hours a cord: fewer days for the same wood, hours = days x 6, and the schedule says whose pace it is."""
    usual, fast = plan(otter), plan(otter, pace=labor.Pace(4.0, True))
    assert (usual.pace.own, fast.pace.own) == (False, True)
    for told in (usual, fast):
        assert told.entries["hours"].to_numpy() == pytest.approx(6.0 * told.entries["days"].to_numpy())
    assert fast.periods["days"].sum() < 0.65 * usual.periods["days"].sum()


def test_consecutive_winters_are_one_job_by_hand():
    """Stand 8 in winters 0 to 2 and 5, stand 3 in winter 2: three jobs, the mean of a winter each."""
    rows = [("8", 0, 0.8, 8.0), ("8", 1, 0.7, 7.0), ("3", 2, 0.2, 6.0), ("8", 2, 0.6, 6.0), ("8", 5, 1.0, 9.0)]
    entries = pd.DataFrame(rows, columns=["stand_id", "period", "acres", "cords"])
    entries = entries.assign(stove_cords=0.8 * entries["cords"], days=entries["cords"])
    told = works.works(entries, 2026, 1)
    assert told[["stand_id", "first_winter", "last_winter", "winters"]].to_numpy().tolist() == [
        ["8", 2026, 2028, 3],
        ["3", 2028, 2028, 1],
        ["8", 2031, 2031, 1],
    ]
    assert told.loc[0, ["acres", "acres_a_winter", "cords_a_winter"]].tolist() == pytest.approx([2.1, 0.7, 7.0])
    assert told["stove_cords_a_winter"].tolist() == pytest.approx([5.6, 4.8, 7.2])
    fives = works.works(entries, 2026, 5)
    assert fives.loc[0, ["first_winter", "last_winter", "winters"]].tolist() == [2026, 2040, 15]
    assert works.works(entries.head(0), 2026, 1).columns.tolist() == COLUMNS


def test_a_stand_is_worked_through_before_another_by_hand():
    """Two stands alike, a cord each winter: without a price of beginning the plan may take either, with one it begins
    once; the worth counts an entry .1 and a job .3.
    """
    years, eye = 4, np.eye(4)
    one = np.vstack([eye, np.zeros((1, 4))])
    p = Prescriptions(stand=np.repeat([0, 1], 5), acres=np.array([10.0, 10.0]), cut=np.vstack([one, one]))
    p = replace(p, worth=-0.1 * p.cut.sum(axis=1))
    limits = Limits(need=1.0, entry_price=0.1, job_price=0.3, least_entry_ac=0.1)
    told = solve(p, limits)
    assert told.value == pytest.approx(-(years * 0.1 + years * 0.1 + 0.3), abs=1e-6)
    entered = (told.acres[:, None] > 1e-6) & (p.cut > 0)
    assert set(p.stand[entered.any(axis=1)].tolist()) in ({0}, {1})


def test_a_job_goes_on_though_another_stand_were_a_little_better_by_hand():
    """Of two stands one is .02 a cord better in even winters, the other in odd ones: four winters in one stand cost .40
    to .44 and one job, .3; by turns .40 and four jobs. Without a price of beginning they take turns.
    """
    one = np.vstack([np.eye(4), np.zeros((1, 4))])
    p = Prescriptions(stand=np.repeat([0, 1], 5), acres=np.array([10.0, 10.0]), cut=np.vstack([one, one]))
    p = replace(p, worth=-np.array([0.10, 0.12, 0.10, 0.12, 0.0, 0.12, 0.10, 0.12, 0.10, 0.0]))
    limits = Limits(need=1.0, entry_price=0.1, least_entry_ac=0.1, gap=1e-6)
    by_turns, through = solve(p, limits), solve(p, replace(limits, job_price=0.3))
    stands = [{int(k) for k in p.stand[(told.acres > 1e-6) & p.cut.any(axis=1)]} for told in (by_turns, through)]
    assert [len(k) for k in stands] == [2, 1]
    assert through.value == pytest.approx(-(0.44 + 0.4 + 0.3), abs=1e-6)


def test_a_patch_grown_by_the_stand_table_comes_back_over_a_rotation(otter):
    """Stand 8 cut whole before its third year: nothing left, all of its basal area again 45 years on, half of it in
    the middle; wood of cordwood size from the tenth year on.
    """
    k = np.array([otter.woods.stands["stand_id"].tolist().index("8")])
    path = run(otter.woods, 60, columns=k, clear=np.array([2]), region=BASE)
    assert path.basal[2, 0] == 0.0 and path.cords[12, 0] == 0.0 < path.cords[13, 0]
    assert path.basal[47, 0] == pytest.approx(path.cut_basal[2, 0])
    assert path.basal[2 + 9, 0] == pytest.approx(0.2 * path.cut_basal[2, 0])
    assert (
        path.cords[47, 0] == pytest.approx(path.cut_cords[2, 0]) and path.cut_cords[:, 0].sum() == path.cut_cords[2, 0]
    )


def test_an_acre_is_entered_once_in_a_cycle(otter):
    """Over ten winters, shorter than the cycle of 15 years, no prescription enters twice: no acre in two winters; acres
    worked are cords over what an acre gives.
    """
    told = plan(otter)
    p = told.solution.prescriptions
    assert p.enters.sum(axis=1).max() == 1
    worked = told.entries.groupby("stand_id")["acres"].sum()
    have = told.growing.set_index("stand_id")["cut_ac"]
    assert (worked <= have[worked.index] + 1e-6).all()


def test_a_light_thinning_walks_over_more_acres(otter):
    """Stand 9 grows over what it must keep: in the fifth winter, when what dies now is dead, a way takes 1.8 cords of
    an acre, and in each later one what an acre grows in a year more; ways as light are kept.
    """
    told = stand_entries.ways(otter.woods, otter.ceilings, otter.to_work, stove=otter.stove, region=otter.place.region)
    rows = told.prescriptions.stand == told.stand_ids.index("9")
    cut, beside = told.prescriptions.cut[rows], told.prescriptions.beside[rows]
    lightest = [float(one[one > 0].min()) for one in (cut - beside)[:, 5:].T if (one > 0).any()]
    assert len(lightest) >= 4 and 1.0 < lightest[0] < 2.0
    assert np.diff(lightest) == pytest.approx(0.57, abs=0.03), "what an acre grows in a year"


def test_logs_go_to_the_pile_and_the_rest_of_the_stem_to_the_stove(otter):
    """Of each tree: stem = logs of the straight half + stove wood less limbs; heat is by kind; all burns if asked. What
    gives lasting posts is kept for them.
    """
    trees, by = otter.standing.trees, otter._by
    names = otter.woods.species
    plain = stove_wood.by_class(names, trees, **by, region=otter.place.region)
    burned = stove_wood.by_class(names, trees, **by, burn_logs=True, region=otter.place.region)
    assert (burned["log_bdft"] == 0.0).all() and (plain["log_bdft"] > 0).any()
    stems = plain["stove_cords"] + plain["log_cords"]
    assert (stems <= burned["stove_cords"] + 0.002).all()
    lasting = products.lasts(np.array(names, dtype=object), region=BASE)
    assert stems[~lasting] == pytest.approx(burned["stove_cords"][~lasting], abs=0.002), "what is no log burns"
    assert (stems[lasting] < burned["stove_cords"][lasting] - 0.02).any(axis=1).all(), "posts are kept"
    maple, at = names.index("sugar maple"), 4
    cord = plain["heat_mmbtu"][maple, at] / plain["stove_cords"][maple, at]
    solid = by["solid_cuft_per_cord"]
    assert cord == pytest.approx(heat_mmbtu_per_cord("sugar maple", 20.0, solid, "gross", region=BASE))
    assert (burned["stove_cords"] >= otter.woods.values["cords"] - 1e-9).all(), "half the limbs are counted too"


def test_a_need_of_heat_is_met_in_heat_and_told_so(aspen):
    """100 million Btu a year of aspen: heat of the stove wood, cords of the mix beside it; what is short too."""
    told = plan(aspen, need_cords=None, need_mmbtu=100.0)
    assert told.periods["heat_mmbtu"].to_numpy() == pytest.approx(np.full(10, 100.0), rel=1e-4)
    cords = 100.0 / told.mmbtu_per_cord
    assert told.periods["stove_cords"].to_numpy() == pytest.approx(np.full(10, cords), rel=1e-3)
    assert "heat of 100 million Btu (" in said(told.findings[0])
    short = plan(aspen, need_cords=None, need_mmbtu=100.0, days_per_yr=3.0)
    assert said(short.findings[0]).endswith(
        "of the wood that may be cut) of the heat wanted cannot be had (every winter)."
    )


def test_a_want_once_is_met_by_its_period_and_kept_until_then(aspen):
    """40 poles wanted in the third winter and none else: made by then, from winters before it if so, none later."""
    needs = {"pieces": [{"product": "pole", "number": 4}]}
    asked = season(replace(aspen.place, needs=needs))
    once = np.zeros(10)
    once[2] = 40.0
    soon = np.array([40.0, 40.0] + 8 * [0.0])
    told = plan(asked, need_cords=2.0, pieces=asked.pieces, wanted={"poles": once}, ahead={"poles": soon})
    made = told.periods["poles"].to_numpy()
    assert told.periods["poles_short"].sum() == 0.0
    assert made[:3].sum() == pytest.approx(40.0, abs=1e-3) and made[3:].sum() == pytest.approx(0.0, abs=1e-3)
    assert "40 poles in all" in " ".join(map(said, told.findings))


def test_what_is_wanted_once_is_made_ahead_by_hand():
    """4 posts an acre, an acre a winter, 8 posts wanted in the third winter alone: 4 are made before and kept, though a
    yearly want keeps no more than its own.
    """
    cut = np.vstack([np.eye(3), np.zeros((1, 3))])
    p = Prescriptions(stand=np.zeros(4, dtype=int), acres=np.array([10.0]), cut=cut, work=cut)
    p = replace(p, pieces={"posts": 4.0 * cut}, worth=-0.1 * cut.sum(axis=1))
    told = solve(
        p, Limits(wanted={"posts": np.array([0.0, 0.0, 8.0])}, ahead={"posts": [8.0, 8.0, 0.0]}, work_most=1.0)
    )
    assert told.lacks["posts"] == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    assert told.made["posts"].sum() == pytest.approx(8.0) and told.made["posts"][:2].sum() >= 4.0 - 1e-6


def test_what_dies_by_hand():
    """Fir that dies counts whole, aspen past its age breaks up, ash stands apart, words count by their share."""
    n = np.zeros((4, len(classes(region=BASE)), 2))
    n[:, 3, 0], n[1, 3, 1] = 10.0, 10.0
    basal = np.tensordot(n, basal_sqft(classes(region=BASE)), axes=([1], [0]))
    shares = np.zeros((len(GROUPS), *n.shape))
    shares[list(GROUPS).index("at risk"), 3, 3, 0] = 0.4
    dead, old, apart = np.zeros((3, 4, 2), dtype=bool)
    dead[0, 0] = old[1, 0] = apart[2, 0] = True
    known = Judged(shares, dead | old, apart, np.array([True, False]))
    dying, broken = losing(n, basal, known, dead, old, region=BASE)
    assert dying == pytest.approx([(1.0 + 0.4) / 4.0, 0.0]) and broken == pytest.approx([0.25, 0.0])


def test_dying_stands_are_entered_under_their_stocking_and_first(otter):
    """Fir of stand 19, a quarter of it dead, stands under what it should keep: it has no part in the yearly cut, and is
    entered for what dies there.
    """
    row = otter.ceilings.table.set_index("stand_id").loc["19"]
    assert row["salvage"] and row["may"] and row["basal_sqft_per_ac"] < 100.0
    assert row["ceiling_cords_per_yr"] == 0.0 < row["salvage_cords"]
    told = plan(otter)
    assert told.works["stand_id"].iloc[0] == "19"
    beside = told.periods["beside_cords"]
    assert beside[:5].to_numpy() == pytest.approx(told.periods["cords"][:5].to_numpy()) and (beside[5:] == 0.0).all()
    assert 0.6 * row["salvage_cords"] < beside.sum() <= row["salvage_cords"], "what dies stands for five winters"


def test_old_full_aspen_is_outside_the_yearly_cut_and_gives_what_is_wanted(tmp_path):
    """Aspen of 68 years: nothing of it is in a lasting cut, the need is met, and the stock may end under today's."""
    stand = {"cover": "aspen and birch", "age_yr": 68, "site_index_ft": 80}
    base = trial.based(trial.one_stand(tmp_path / "home", 39.0, stand, 8, ["quaking aspen"] * 18))
    (row,) = base.ceilings.table.to_dict("records")
    assert row["past_age"] and row["growth"].value == row["ceiling_cords_per_yr"] == 0.0 < row["salvage_cords"]
    told = plan(base, need_cords=6.0)
    assert told.periods["short"].sum() == 0.0 and told.stock["cords"].iloc[-1] < told.stock["cords"].iloc[0]


@pytest.mark.parametrize(
    "kinds", [["quaking aspen"] * 10, ["quaking aspen"] * 4 + ["red maple"] * 4 + ["balsam fir"] * 3]
)
def test_aspen_without_site_index_or_under_half_is_cut_in_patches(tmp_path, kinds):
    """It grows by the stand table; an acre of it gives all that stands there, and comes back."""
    stand = {"cover": "aspen and birch", "age_yr": 68}
    base = trial.based(trial.one_stand(tmp_path / "home", 39.0, stand, 8, kinds))
    assert base.woods.stands["way"].tolist() == ["stand table"]
    told = plan(base, need_cords=6.0, days_per_yr=16.0)
    assert told.solution.fuel.sum() == pytest.approx(60.0, rel=0.01)
    first = told.entries.iloc[0]
    assert first["cords"] / first["acres"] == pytest.approx(base.woods.stands["cords"].iloc[0], rel=1e-6)
    ways = stand_entries.ways(base.woods, base.ceilings, base.to_work, years=60, step=5, stove=base.stove, region=BASE)
    soon = np.flatnonzero(ways.prescriptions.cut[:, 0] > 0)[0]
    assert ways.stock[soon, 1] == 0.0 < ways.stock[soon, 30] < ways.stock[soon, 45]
    assert ways.stock[soon, 45] == pytest.approx(first["cords"] / first["acres"], rel=0.1)


def test_nothing_asked_is_nothing_cut_and_says_what_there_is(otter):
    """No need and no wants: no entry, the ceiling and the stands that die in one sentence; ``cut_more`` plans."""
    none = plan(otter, need_cords=None)
    assert not len(none.entries) and not len(none.works) and none.solution is None
    words = said(none.findings[0])
    assert words.startswith(
        "Nothing is asked of these woods, and nothing need be cut. They could give "
        f"{rounded(otter.ceilings.limit, 'cords')} cords a year;"
    )
    assert "In stand 19 trees die or break up" in words
    assert len(plan(otter, need_cords=None, cut_more=True, days_per_yr=16.0).entries)


def test_a_shortage_that_the_woods_themselves_make_is_named(otter):
    """One acre of two cords for a need of five: without any limit three are missing; days and ceiling are named when
    only both together are in the way.
    """
    p = Prescriptions(stand=np.zeros(2, dtype=int), acres=np.ones(1), cut=np.array([[2.0], [0.0]]))
    limits = Limits(need=5.0, cut_most=10.0)
    (row,) = in_the_way(solve(p, limits), limits).to_numpy().tolist()
    assert row[:2] == ["firewood", WOODS] and row[3] == pytest.approx(3.0)


def test_a_pace_that_cannot_be_is_not_believed():
    """2.9 hours a cord were not all noted: the published 8; from 3 on the family's own."""
    assert labor.pace((2.9, 3), region=BASE) == labor.pace(None, region=BASE) == labor.Pace(8.0, False)
    assert labor.pace((3.1, 1), region=BASE).own
    odd = labor.pace((30.0, 9), region=BASE)
    assert odd == labor.Pace(8.0, False, 30.0, 9, 8.0)
    assert "30 hours noted in 9 winters, 8.0 published: further off than both allow" in say_cut.pace_words(odd, 6.0)
    near = labor.pace((9.0, 9), region=BASE)
    assert labor.pace((9.0, 1), region=BASE).hours_per_cord < near.hours_per_cord < 9.0


def test_a_stand_to_cut_first_is_cut_first(otter):
    """A stand that no plan needs is cut once the family wishes it to be the first."""
    stands = otter.to_work
    plain = plan(otter, stands)
    ahead = next(s for s in ("13", "12", "7") if s not in set(plain.entries["stand_id"]))
    first = plan(otter, stands.assign(wishes=[("cut first",) if s == ahead else () for s in stands["stand_id"]]))
    cords = [p.entries.loc[p.entries["stand_id"] == ahead, "cords"].sum() for p in (plain, first)]
    assert cords[0] == 0.0 < cords[1]


def test_needs_and_days_drawn_are_met_or_explained(aspen):
    """Three pairs of the trial on the aspen place: within 15 percent, or the days are named; every row holds."""
    for need, days in ((1.0, 3.0), (7.0, 16.0), (20.0, 5.0)):
        one = trial.told(aspen, need, days)
        assert one.near == (days >= 2.1 * need), "a cord of oak is a cord and a half of aspen"
        assert one.near or ("in the way" in one.keys and "the days of work" in " ".join(one.words))
        assert one.checked < 1e-5 and one.jobs == 1
