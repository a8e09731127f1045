"""What-ifs: woods as each scenario has them by hand, what moves and which way, and a plan that stays as it is."""

from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot import place as places
from woodlot.plan import what_ifs
from woodlot.plan.what_ifs import altered, burning, figure, moved_share
from woodlot.plan.woods import Woods, run, table_run
from woodlot.region import shipped
from woodlot.season import season
from woodlot.stand import grow
from woodlot.stand.even_aged import grow_aspen, grow_pine
from woodlot.stand.judged import Judged
from woodlot.trade import WHAT_IFS
from woodlot.units import basal_sqft
from woodlot.wood.need_lines import line_of
from woodlot.wood.wants import EACH_YEAR, Want

SAMPLE = Path(__file__).parent.parent.parent / "sample_parcels" / "otter_lake"
REGION = shipped("lake_states")
SIZES = grow.classes(region=REGION)
KINDS = ["balsam fir", "sugar maple", "white ash"]


def woods(**changes) -> Woods:
    """Two hardwood stands of ten acres: fir of 6 in, maple of 10 and 18 in, ash of 12 in; no deaths but the usual."""
    trees = np.zeros((len(KINDS), len(SIZES), 2))
    for kind, size, many in ((0, 6, 50.0), (1, 10, 60.0), (1, 18, 10.0), (2, 12, 20.0)):
        trees[kind, int(np.flatnonzero(size == SIZES)[0])] = many
    trees[2, :, 1] = 0.0  # no ash in the second one
    one = np.ones((len(KINDS), 2))
    cords = np.broadcast_to(basal_sqft(SIZES) / 4.0, (len(KINDS), len(SIZES)))
    stands = pd.DataFrame(
        {
            "stand_id": ["1", "2"],
            "parcel_id": "home",
            "cover": "northern hardwoods",
            "acres": 10.0,
            "way": "stand table",
            "main": "sugar maple",
            "age_yr": np.nan,
            "site_index_ft": np.nan,
            "young": False,
            "pace": "mid",
            "dying": False,
            "salvage_share": 0.0,
            "breakup_share": 0.0,
            "basal": basal_sqft(SIZES) @ trees.sum(axis=0),
            "cords": np.tensordot(cords, trees, axes=2),
            "stems": trees.sum(axis=(0, 1)),
        }
    )
    told = {
        "factor": dict.fromkeys(("low", "mid", "high"), one),
        "even": dict.fromkeys(("low", "mid", "high"), one[0]),
        "ratio": one[0],
        "values": {"cords": cords, "sawlog_cords": 0.0 * cords, "bdft": 0.0 * cords},
        "sg": np.full(len(KINDS), 0.5),
        "saplings": np.array([np.nan, 200.0]),
        "deaths": 0.0 * one,
        "judged": Judged.none(len(KINDS), 2),
        "solid": 79.0,
    }
    return Woods(stands=stands, species=KINDS, trees=trees, **{**told, **changes})


def test_ash_is_gone_within_years_by_hand():
    """Nearly all dead in six years is 53.6 in 100 a year: after six years under one in a hundred stands, maple does."""
    assert figure("ash-gone", "die_per_yr", REGION) == pytest.approx(1.0 - 0.01 ** (1 / 6), abs=5e-4)
    gone = altered("ash-gone", woods(), region=REGION)
    assert gone.deaths[:, 0].tolist() == [0.0, 0.0, 0.536]
    left = table_run(gone, np.arange(2), 6, "mid", None, region=REGION).trees.sum(axis=1)
    assert 0.9 < left[2, 0] / (20.0 * 0.464**6 * 0.992**6) < 1.2 and left[2, 0] < 0.01 * 20.0 * 1.1
    assert left[1, 0] > 60.0
    area = 20.0 * 0.7854  # 20 ash of 12 in
    share = area / (area + 50 * 0.19635 + 60 * 0.54542 + 10 * 1.76715)
    assert gone.stands["salvage_share"].tolist() == pytest.approx([share, 0.0], abs=1e-4)
    assert gone.stands["dying"].tolist() == [True, False] and gone.judged.failing[2].tolist() == [True, False]


def test_ash_that_dies_already_is_not_counted_twice():
    """Where today's woods know that ash fails, no share is added; what no household fells stays apart."""
    judged = Judged.none(len(KINDS), 2)
    for name in ("failing", "apart"):
        marked = replace(judged, **{name: np.array([[False] * 2, [False] * 2, [True, False]])})
        known = woods(judged=marked)
        assert altered("ash-gone", known, region=REGION).stands["salvage_share"].tolist() == [0.0, 0.0]


def test_a_storm_takes_shares_by_size_and_kind_by_hand():
    """Fir of 6 in 10 in 100, maple of 10 in 10, of 18 in 20, ash of 12 in 10; cords and basal area follow."""
    storm = altered("windstorm", woods(), region=REGION)
    left = storm.trees[:, :, 0].sum(axis=1)
    assert left.tolist() == pytest.approx([45.0, 60 * 0.9 + 10 * 0.8, 18.0])
    before = 50 * 0.19635 + 60 * 0.54542 + 10 * 1.76715 + 20 * 0.7854
    after = 45 * 0.19635 + 54 * 0.54542 + 8 * 1.76715 + 18 * 0.7854
    assert storm.stands["basal"].iloc[0] == pytest.approx(after, abs=0.01)
    assert storm.stands["cords"].iloc[0] / woods().stands["cords"].iloc[0] == pytest.approx(after / before, abs=1e-4)
    assert storm.stands["stems"].iloc[0] == pytest.approx(45 + 62 + 18)
    worse, milder = (altered("windstorm", woods(), case, region=REGION).stands["basal"][0] for case in ("low", "high"))
    assert worse < after < milder
    start = run(storm, 1, region=REGION).cords[0]
    assert start == pytest.approx(storm.stands["cords"].to_numpy())  # the runs begin where the stands are told to


def test_a_dry_decade_is_ten_slow_years_and_then_usual_ones():
    """Twelve years are ten of growth x .75 with 5 in 1,000 more deaths, and from there two as ever."""
    dry = altered("dry-decade", woods(), region=REGION)
    whole = table_run(dry, np.arange(2), 12, "mid", None, region=REGION)
    slow = woods(factor={"mid": np.full((3, 2), 0.75)}, deaths=np.full((3, 2), 0.005))
    ten = table_run(slow, np.arange(2), 10, "mid", None, region=REGION)
    rest = table_run(replace(woods(), trees=ten.trees), np.arange(2), 2, "mid", None, region=REGION)
    assert whole.basal[10] == pytest.approx(ten.basal[10]) and whole.basal[12] == pytest.approx(rest.basal[2], rel=1e-5)
    usual = table_run(woods(), np.arange(2), 12, "mid", None, region=REGION)
    assert (whole.basal[12] < usual.basal[12]).all()
    assert dry.even["mid"][[9, 10], 0].tolist() == [0.75, 1.0]


@pytest.mark.parametrize("kind", ["pine", "aspen"])
def test_stands_of_one_age_take_a_factor_for_each_year(kind):
    """The same factor in all years is the plain one; half in the first year alone halves that year's growth alone."""

    def basal(factor):
        if kind == "pine":
            return grow_pine(100.0, 200.0, 50.0, 60.0, 3, factor, region=REGION)["basal"][:, 0]
        return grow_aspen(80.0, 500.0, 30.0, 3, factor, region=REGION)["basal"][:, 0]

    assert basal(np.ones((60, 1))).tolist() == basal(1.0).tolist()
    first = np.ones((60, 1))
    first[0] = 0.5
    one, other = np.diff(basal(first)), np.diff(basal(1.0))
    assert one[0] == pytest.approx(other[0] / 2.0) and one[1] > 0.9 * other[1]


def test_deer_unchecked_and_fenced_out_set_the_saplings():
    """Unchecked: none anywhere (20 at most at the mild end). Fenced: too few count as not counted, enough stay."""
    few = woods(saplings=np.array([np.nan, 40.0]))
    assert altered("browse-unchecked", few, region=REGION).saplings.tolist() == [0.0, 0.0]
    assert altered("browse-unchecked", few, "high", region=REGION).saplings.tolist() == [20.0, 20.0]
    assert np.isnan(altered("deer-fenced", few, region=REGION).saplings).all()
    enough = altered("deer-fenced", woods(), region=REGION)
    assert np.isnan(enough.saplings[0]) and enough.saplings[1] == 200.0
    both = ("browse-unchecked", "deer-fenced")
    came = [run(altered(name, few, region=REGION), 20, region=REGION).ingrowth[:, 1].sum() for name in (None, *both)]
    assert came[1] == 0.0 < came[0] < came[2]


def test_another_need_counts_what_is_made_by_hand():
    """7 cords of which 2 are made: half is 3.5, 1.5 to make; posts and a part that burns hot stay."""
    line = replace(line_of({"product": "firewood", "number": 5.0}, region=REGION), mmbtu=5.0 * 20.0)
    fire = Want(line, 7.0, 2.0, EACH_YEAR, None, "", 0, mmbtu_each=20.0)
    posts = Want(line_of({"product": "post", "number": 12.0}, region=REGION), 12.0, 0.0, "once", None, "", 1)
    hot = replace(fire, line=replace(line, woods="hot"), price_order=2)
    half, post, hottest = burning([fire, posts, hot], 0.5)
    assert (half.asked_number, half.left, half.line.mmbtu) == (3.5, 1.5, 30.0)
    assert (post, hottest) == (posts, hot)
    assert burning([fire], 0.2)[0].left == 0.0


def test_how_far_two_plans_part_by_hand():
    """60 and 40 cords beside 60 and 20 in another stand: 60 of 180 are not where they were; none beside none is 0."""

    class Cuts:
        def __init__(self, **soon):
            self.soon = pd.Series(soon, dtype=float)

    one, other = Cuts(a=60.0, b=40.0), Cuts(a=60.0, c=20.0)
    assert moved_share(one, other) == pytest.approx(60.0 / 180.0)
    assert moved_share(one, Cuts(a=36.0, b=24.0)) == pytest.approx(0.4)  # less of the same
    assert moved_share(Cuts(), Cuts()) == 0.0 and moved_share(one, one) == 0.0


@pytest.fixture(scope="module")
def otter():
    """The sample without tally, with saplings that were counted and are few."""
    read = places.read(SAMPLE, as_of=date(2026, 11, 25))
    asked = season(replace(read, tally=read.tally[:0], wants=[], to_build=[]))
    few = replace(asked.woods, saplings=np.full(len(asked.woods.stands), 30.0))
    vars(asked)["_kept"]["woods"] = (few, frozenset())
    return asked


def as_bytes(told) -> bytes:
    """All that a chapter gave, frame by frame and array by array."""
    if isinstance(told, np.ndarray):
        return told.tobytes()
    if isinstance(told, pd.DataFrame | pd.Series):
        return told.to_csv().encode()
    if hasattr(told, "__dataclass_fields__"):
        return b"".join(as_bytes(getattr(told, one.name)) for one in fields(told))
    if isinstance(told, dict):
        return b"".join(str(key).encode() + as_bytes(one) for key, one in told.items())
    return repr(told).encode()


@pytest.fixture(scope="module")
def outcomes(otter):
    """The plan and every scenario of the sample; the plan's chapters before and after."""
    chapters = ("woods", "ceilings", "wants", "later", "to_work")
    before = {name: as_bytes(getattr(otter, name)) for name in chapters}
    told = {name: otter.what_if(name) for name in (None, *WHAT_IFS)}
    return told, before, {name: as_bytes(getattr(otter, name)) for name in chapters}


def test_no_scenario_moves_the_plan(outcomes, otter):
    """Chapter by chapter the same bytes after all what-ifs as before; a supposed season is another one."""
    _, before, after = outcomes
    assert before == after and all(len(told) > 100 for told in before.values())
    assert otter.supposed("windstorm").woods is not otter.woods


def test_the_row_of_the_plan_is_the_far_schedule(outcomes, otter):
    """Stock, cut and days of the middle, by the ways that are followed, are those of the schedule itself."""
    plan, far = outcomes[0][None], otter.later
    assert plan.stock_cords[1] == pytest.approx(far.stock["cords"].iloc[-1])
    assert plan.cut_cords[1] == pytest.approx(far.periods["cords"].sum() / 50)
    assert plan.days[1] == pytest.approx(far.periods["days"].sum() / 50)
    soon = far.entries[far.entries["period"] < 2].groupby("stand_id")["cords"].sum()
    assert plan.soon.to_dict() == pytest.approx(soon.to_dict())
    stands, end = otter.woods.stands, far.stock["cords"].iloc[-1]
    begin = float((stands["cords"] * stands["acres"]).sum())
    assert plan.growth_cords[1] == pytest.approx((end - begin) / 50 + plan.cut_cords[1])


def test_ends_hold_the_middle(outcomes):
    """Low, middle and high in that order in every measure of every scenario, and low growth leaves less."""
    for told in outcomes[0].values():
        for name in ("stock_cords", "growth_cords", "cut_cords", "bdft", "days", "young_trees"):
            low, mid, high = getattr(told, name)
            assert low <= mid <= high, name
        assert told.stock_cords[0] < told.stock_cords[2]


def test_each_scenario_moves_the_way_it_must(outcomes):
    """Less burned leaves more and takes fewer days; storm, drought and deer leave less; a fence brings young trees."""
    told = outcomes[0]
    plan = told[None]

    def stock(name):
        return told[name].stock_cords[1]

    assert stock("more-firewood") < plan.stock_cords[1] < stock("less-firewood")
    assert told["less-firewood"].cut_cords[1] == pytest.approx(plan.cut_cords[1] / 2, rel=0.25)
    assert told["less-firewood"].days[1] < plan.days[1] < told["more-firewood"].days[1]
    for name in ("windstorm", "dry-decade", "browse-unchecked"):
        assert stock(name) < plan.stock_cords[1], name
    assert told["browse-unchecked"].young_trees[1] == 0.0
    assert told["deer-fenced"].young_trees[1] > 2.0 * plan.young_trees[1] > 0.0
    assert told["deer-fenced"].deer.value == 0.0 < plan.deer.value
    assert told["dry-decade"].growth_cords[1] < plan.growth_cords[1]


def test_what_is_lost_and_what_may_be_had(outcomes):
    """All ash is cut or dies; of thrown wood a part may be had; no other scenario speaks of either."""
    told = outcomes[0]
    ash, storm = told["ash-gone"], told["windstorm"]
    assert ash.ash_cords > 40.0 and ash.lost[1] + ash.saved[1] == pytest.approx(ash.ash_cords, rel=1e-6)
    assert 0.0 < ash.ash_dying_cords <= ash.ash_cords
    assert 0.0 < storm.saved[0] < storm.saved[1] < storm.lost[1]
    stock = told[None].stock_cords[1] - told[None].growth_cords[1] * 50 + told[None].cut_cords[1] * 50
    gone = storm.stock_cords[1] - storm.growth_cords[1] * 50 + storm.cut_cords[1] * 50
    assert stock - gone == pytest.approx(storm.lost[1])
    others = set(told) - {"ash-gone", "windstorm"}
    assert {(told[name].lost, told[name].saved) for name in others} == {(None, None)}


def test_a_drought_keeps_the_cuts_of_the_plan(outcomes, otter):
    """Nobody knew before: the same ways are followed, and give a little less; what is seen coming is planned anew."""
    assert otter.supposed("dry-decade").later is otter.later
    assert otter.supposed("less-firewood").ceilings is otter.ceilings
    assert otter.supposed("windstorm").ceilings is not otter.ceilings
    plan, dry = outcomes[0][None], outcomes[0]["dry-decade"]
    assert set(dry.soon.index) == set(plan.soon.index) and dry.soon.sum() < plan.soon.sum()


def test_each_figure_of_the_table_is_used():
    """No row that nothing reads."""
    root = Path(what_ifs.__file__).parent.parent
    files = ("plan/what_ifs.py", "say/what_ifs.py", "answers/what_ifs.py", "season.py")
    text = "".join((root / file).read_text(encoding="utf-8") for file in files)
    of_size = {f"{kind}_{size}" for kind in ("hardwood", "softwood") for size in ("small", "middle", "large")}
    of_size |= {"small_in", "large_in"}
    assert [name for name in REGION.table("what_ifs")["name"] if f'"{name}"' not in text and name not in of_size] == []
