"""The yearly cut of whole places at the edges: few plots, full, thin, tiny and old stands, residuals not said."""

import json
import sys
from pathlib import Path

import numpy as np
import pytest

from woodlot import place as places
from woodlot.answers.cut import rule_answer
from woodlot.answers.cut_verb import cut_answer
from woodlot.errors import PlaceError
from woodlot.plan import stand_entries
from woodlot.say import cut
from woodlot.say.reasons import said
from woodlot.season import season

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
import needs_and_days as trial

HARDWOODS = {"cover": "northern hardwoods"}
MAPLES = ["sugar maple"] * 6 + ["red maple"] * 2 + ["yellow birch"] * 2


@pytest.fixture
def one(tmp_path):
    """A function: the season of a place of one stand."""

    def make(acres=40.0, stand=HARDWOODS, plots=8, trees=MAPLES, toml=""):
        folder = trial.one_stand(tmp_path / f"{len(list(tmp_path.iterdir()))}", acres, dict(stand), plots, list(trees))
        (folder / "place.toml").write_text((folder / "place.toml").read_text() + toml)
        return trial.based(folder)

    return make


def spruce_flat(folder, toml=""):
    """312 acres in four squares: spruce, fir and cedar of about 90, 99 and 102 sq ft, and a cedar swamp."""
    folder.mkdir()
    wide, high, draw = 0.0072, 0.00509, np.random.default_rng(3)
    ring = lambda x: [[x, 45.9], [x + wide, 45.9], [x + wide, 45.9 + high], [x, 45.9 + high], [x, 45.9]]  # noqa: E731
    stands = {"a": ("spruce and fir", 90), "b": ("spruce and fir", 99), "c": ("spruce and fir", 102)}
    stands["d"] = ("cedar swamp", 130)
    shapes, plots, trees = [], ["plot_id,stand_id,date,kind,baf_sqft_per_ac"], ["plot_id,species,dbh_in"]
    kinds = ["white spruce"] * 5 + ["balsam fir"] * 3 + ["northern white-cedar"] * 2
    for at, (stand, (cover, basal)) in enumerate(stands.items()):
        shape = {"type": "Polygon", "coordinates": [ring(-89.1 + wide * at)]}
        told = {"stand_id": stand, "parcel_id": "home", "cover": cover}
        shapes.append({"type": "Feature", "properties": told, "geometry": shape})
        for k, many in enumerate(draw.permutation(np.arange(basal, basal + 10) // 10 + np.tile([-2, 2], 5))):
            plots.append(f"{stand}{k},{stand},2026-09-0{k % 9 + 1},prism,10")
            trees += [f"{stand}{k},{draw.choice(kinds)},{draw.uniform(5.5, 13.0):.1f}" for _ in range(many)]
    whole = {
        "type": "Polygon",
        "coordinates": [[[-89.1, 45.9], [-89.1 + 4 * wide, 45.9], [-89.1 + 4 * wide, 45.9 + high]]],
    }
    whole["coordinates"][0] += [[-89.1, 45.9 + high], [-89.1, 45.9]]
    parcel = {"type": "Feature", "properties": {"parcel_id": "home", "name": "Home"}, "geometry": whole}
    for name, features in (("stands", shapes), ("parcels", [parcel])):
        text = json.dumps({"type": "FeatureCollection", "features": features})
        (folder / f"{name}.geojson").write_text(text)
    (folder / "plots.csv").write_text("\n".join([*plots, ""]))
    (folder / "trees.csv").write_text("\n".join([*trees, ""]))
    (folder / "place.toml").write_text(f'name = "Flat"\nregion = "lake_states"\n[needs]\nfirewood_cord = 8\n{toml}')
    return trial.based(folder)


@pytest.fixture(scope="module")
def flat(tmp_path_factory):
    """312 acres of spruce, fir and cedar."""
    return spruce_flat(tmp_path_factory.mktemp("flat") / "home")


def test_a_residual_that_is_only_chosen_shuts_no_stand_and_is_asked_for(flat):
    """Stands of 90, 99 and 102 sq ft under and at a chosen 100 give together over a half of one percent of what stands
    and under their growth; an entry leaves half of what stands over the low end of 80, and the answer says what both
    ends would give.
    """
    yearly, table = flat.ceilings, flat.ceilings.table.set_index("stand_id")
    rule = yearly.rule
    assert 0.005 * rule.stock_cords < yearly.limit < rule.mid_growth
    assert table.loc[["a", "b", "c"], "may"].all() and not table.loc["d", "inside"]
    basal = table.loc[["a", "b", "c"], "basal_sqft_per_ac"]
    assert table.loc[["a", "b", "c"], "leave_sqft_per_ac"].to_numpy() == pytest.approx(0.5 * (80.0 + basal.to_numpy()))
    ((cover, low, at_low, high, at_high),) = yearly.by_residual
    assert (cover, low, high) == ("spruce and fir", 80.0, 120.0) and at_high <= yearly.limit <= at_low
    (asked,) = rule_answer(yearly).asked
    assert "at 80 sq ft an acre" in asked and "at 120" in asked and "[[leave]]" in asked
    assert len(flat.cutting.schedule.entries), "the house asks for wood, and it is there"


@pytest.mark.parametrize("end", ["low", "high"])
def test_what_the_family_keeps_goes_before_the_rule_and_is_not_asked(flat, tmp_path, end):
    """80 and 120 sq ft in place.toml: the limits told for them, and no question."""
    ((_, low, at_low, high, at_high),) = flat.ceilings.by_residual
    sqft, limit = (low, at_low) if end == "low" else (high, at_high)
    own = spruce_flat(tmp_path / "home", f'[[leave]]\ncover = "spruce and fir"\nsqft = {sqft:.0f}\n').ceilings
    assert own.limit == pytest.approx(limit, rel=0.02) and own.by_residual == ()
    assert own.whole["smallest"].low < own.whole["smallest"].value < own.whole["smallest"].high
    inside = own.table[own.table["inside"]]
    assert (inside["leave_sqft_per_ac"] == sqft).all() and set(inside["leave_seen"]) == {"yours"}


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ('[[leave]]\ncover = "aspen and birch"\nsqft = 80\n', "is not thinned"),
        ('[[leave]]\ncover = "spruce"\nsqft = 80\n', "Did you mean spruce and fir?"),
        ('[[leave]]\ncover = "oak"\nsqft = 8\n', "20"),
        ('[[leave]]\ncover = "oak"\nsqft = 80\n[[leave]]\ncover = "Oak"\nsqft = 90\n', "stands twice"),
    ],
)
def test_what_cannot_be_kept_is_a_fault(tmp_path, entries, words):
    """A cover that is cut in patches, one nobody knows, a slip of the pencil, one cover twice."""
    folder = trial.one_stand(tmp_path / "home", 10.0, HARDWOODS, 3, MAPLES)
    (folder / "place.toml").write_text((folder / "place.toml").read_text() + entries)
    with pytest.raises(PlaceError) as wrong:
        places.read(folder)
    assert words in str(wrong.value)


def test_what_is_shown_is_of_all_stands_together(flat):
    """Each ceiling is the sum of the stands that grow evenly on, by draw; the limit is the least of them, and one
    sentence says which.
    """
    yearly, rule = flat.ceilings, flat.ceilings.rule
    bounds = {"area": rule.area_cords, "meyer": rule.meyer_cords, "reach": rule.reach_cords}
    bounds["growth"] = max(rule.low_growth + rule.pull_cords, 0.0)
    assert rule.level_cords == pytest.approx(min(bounds.values())) and bounds[rule.binds] == min(bounds.values())
    assert yearly.whole["area"].value == pytest.approx(rule.area_cords, rel=0.05)
    assert yearly.whole["growth"].value == pytest.approx(rule.mid_growth, rel=0.1)
    told = cut_answer(flat, None, None)
    assert told.rule.binds == rule.binds and told.rule.why.startswith("What holds it is growth")
    assert told.limit_cords_per_yr == pytest.approx(yearly.limit)


def test_one_plot_gives_less_than_eight_and_says_so(one):
    """The same trees on every plot. One plot: the usual spread .60, s .5545 with 2 df, so its tenth lies 1.886 s down.

    Eight equal ones: .72/9 = .08, s sqrt(ln 1.01) = .0998 with 9 df.
    """
    alone, eight = one(plots=1).ceilings, one(plots=8).ceilings
    assert 0.0 < alone.limit < 0.95 * eight.limit
    why = said(alone.table["why"].iloc[0])
    assert alone.table["wide"].all() and "its 1 plot leaves it open what stands here" in why
    assert why.endswith("Take single trees, and measure before more.") and not eight.table["wide"].any()
    draw = np.random.default_rng(2)
    plots = 0.5545 * draw.standard_t(2, 200_000), 0.0998 * draw.standard_t(9, 200_000)
    site = np.linalg.norm([0.45, 0.08, 0.15, 0.05]) * draw.standard_normal(200_000)  # place, cord, table, eye
    for rule, own in zip((alone.rule, eight.rule), plots, strict=True):
        assert rule.growth_share == pytest.approx(np.exp(np.quantile(site + own, 0.1)), abs=0.05)


def test_ten_cores_would_give_more_and_it_is_said(one):
    """Without cores q is about .52; with ten, if they find what was assumed, about a third more."""
    base = one(plots=8)
    rule = base.ceilings.rule
    assert 1.15 * base.ceilings.limit < rule.cords_with_ten_cores < 1.6 * base.ceilings.limit
    assert any(line.startswith("Ten cores would make it") for line in rule_answer(base.ceilings).more)


def test_a_full_stand_may_be_cut_beyond_its_growth(one):
    """150 sq ft where 80 are kept: what stands over the goal is added over twenty years, and the surplus is told."""
    rule = one(trees=MAPLES + ["sugar maple"] * 5).ceilings.rule
    assert rule.pull_cords > 0.3 * rule.low_growth and rule.surplus_cords > 0.25 * rule.stock_cords
    assert rule.level_cords > rule.low_growth
    grown = (1.0 + rule.mid_growth / rule.stock_cords) ** 15
    led = (rule.stock_cords * grown - rule.goal_cords) * rule.mid_growth / rule.stock_cords / (grown - 1.0)
    assert rule.meyer_cords == pytest.approx(led, rel=1e-9), "led to its goal in fifteen years"
    assert rule.surplus_cords == pytest.approx(rule.stock_cords * min(1.0 - 80.0 / 150.0, 0.33), rel=0.02)
    assert rule.surplus_cords <= 0.33 * rule.stock_cords + 1e-6, "a third at most at an entry"


def test_a_thin_poor_place_gives_nothing_yet(one):
    """40 sq ft where 80 are kept: nothing grows over it before the next cruise."""
    base = one(trees=["sugar maple"] * 4)
    assert base.ceilings.limit == 0.0 and not base.ceilings.table["may"].any()
    assert cut_answer(base, None, None).headline == cut.headline(0.0, False)


def test_a_tiny_stand_has_a_number(one):
    """A third of an acre: a limit over nothing and under what stands."""
    yearly = one(acres=0.33).ceilings
    assert 0.0 < yearly.limit < 0.04 * yearly.rule.stock_cords


def test_aspen_past_its_age_is_in_no_lasting_cut_and_may_be_taken(one):
    """80 years: no limit, all of it outside; the house's wood comes from it, and nothing of that counts."""
    stand = {"cover": "aspen and birch", "age_yr": 80, "site_index_ft": 70}
    base = one(acres=39.0, stand=stand, trees=["quaking aspen"] * 12, toml="[needs]\nfirewood_cord = 6\n")
    yearly = base.ceilings
    (row,) = yearly.table.to_dict("records")
    assert yearly.limit == 0.0 and row["past_age"] and not row["inside"] and row["growth"].value == 0.0
    assert row["salvage_cords"] > 300.0 and said(row["why"]).startswith("It is falling apart: take what is wanted")
    periods = base.cutting.schedule.periods
    assert periods["short"].sum() < 1e-6 and periods["beside_cords"].to_numpy() == pytest.approx(periods["cords"])


def test_fir_past_its_age_is_in_no_lasting_cut_though_its_cover_is_thinned(one):
    """100 years, half of fir gone by 90: outside; without an age it is thinned with the rest."""
    fir = {"cover": "spruce and fir", "age_yr": 100}
    old, unknown = (one(stand=stand, trees=["balsam fir"] * 11).ceilings for stand in (fir, {"cover": fir["cover"]}))
    assert old.table["past_age"].all() and not old.table["inside"].any() and old.limit == 0.0
    assert unknown.table["inside"].all() and unknown.limit > 0.0


def test_aspen_of_known_age_is_cut_by_its_acres(one):
    """40 years: a forty-fifth of it a year, not in the wood that grows evenly on."""
    stand = {"cover": "aspen and birch", "age_yr": 40, "site_index_ft": 70}
    yearly = one(acres=39.0, stand=stand, trees=["quaking aspen"] * 12).ceilings
    (row,) = yearly.table.to_dict("records")
    assert row["by_area"] and not row["inside"] and yearly.rule.binds == "none"
    assert yearly.limit == pytest.approx(row["area"].value, rel=0.05)
    young = one(acres=39.0, stand=stand | {"age_yr": 20}, trees=["quaking aspen"] * 12).ceilings
    assert young.rule.growth_share == pytest.approx(0.5617, abs=1e-4), "exp(-1.2816 x .45): nothing grows evenly on"
    assert young.limit == 0.0, "it is not of an age to be cut before the next cruise"


def dying(folder, cover, quality, trees=MAPLES):
    """A stand in which two trees of ten on each plot have a word."""
    trial.one_stand(folder, 40.0, {"cover": cover}, 8, list(trees))
    rows = (folder / "trees.csv").read_text().splitlines()
    told = [f"{row},{quality if row.split(',')[1] in ('1', '2') else ''}" for row in rows[1:]]
    (folder / "trees.csv").write_text("\n".join([f"{rows[0]},quality", *told, ""]))
    return trial.based(folder)


@pytest.mark.parametrize(
    ("cover", "trees", "word"),
    [
        ("northern hardwoods", 6, "dying"),
        ("cedar swamp", 10, "Y"),
        ("hemlock", 10, "at risk"),
        ("northern hardwoods", 6, "blown down"),
        ("cedar swamp", 10, "Q"),
    ],
)
def test_dying_and_windthrown_trees_give_an_entry_of_their_own_in_any_stand(tmp_path, cover, trees, word):
    """Under what is kept (60 of 80 sq ft), and under covers whose rule cuts nothing: those trees, once, outside the
    limit.
    """
    base = dying(tmp_path / "home", cover, word, MAPLES[:trees])
    (row,) = base.ceilings.table.to_dict("records")
    assert row["salvage"] and row["may"] and base.ceilings.limit == 0.0
    stock = base.woods.stands.eval("cords * acres").sum()
    assert row["salvage_cords"] == pytest.approx(2.0 / trees * stock, rel=0.35)
    assert row["leave_sqft_per_ac"] == pytest.approx((1.0 - 2.0 / trees) * row["basal_sqft_per_ac"], rel=0.1)
    ways = stand_entries.ways(base.woods, base.ceilings, base.to_work, stove=base.stove, region=base.place.region)
    p = ways.prescriptions
    assert p.beside[:, :5] == pytest.approx(p.cut[:, :5], rel=0.05, abs=0.05) and (p.cut > 0).any()
    assert any("Outside it" in line for line in rule_answer(base.ceilings).more)


def test_a_stand_never_cut_by_wish_gives_no_dying_tree(tmp_path):
    """Whatever dies there."""
    folder = tmp_path / "home"
    dying(folder, "northern hardwoods", "dying")
    stands = json.loads((folder / "stands.geojson").read_text())
    stands["features"][0]["properties"]["wish"] = "never cut"
    (folder / "stands.geojson").write_text(json.dumps(stands))
    (row,) = season(places.read(folder)).ceilings.table.to_dict("records")
    assert not row["salvage"] and not row["may"] and row["salvage_cords"] == 0.0


@pytest.mark.parametrize(("trees_then", "binds"), [(8, "first"), (12, "goal")])
def test_less_than_the_first_cruise_saw_is_taken_off(tmp_path, trees_then, binds):
    """Seven trees a plot now, twelve plots each; eight years ago eight or twelve of them: a twentieth of what is
    missing to that, or to the goal where that is less, comes off, and the first cruise is told. Two plots of the first
    visit are no cruise, and nothing comes off.
    """
    folder = trial.one_stand(tmp_path / "home", 40.0, HARDWOODS, 12, ["sugar maple"] * 7)
    plots, trees = ((folder / f"{name}.csv").read_text().splitlines() for name in ("plots", "trees"))
    once = [row.replace("2026-", "2018-") for row in plots[1:]]
    dated = [f"{row},2026-09-0{(int(row.split(',')[0][1:]) - 1) % 9 + 1}" for row in trees[1:]]
    more = [row.replace(",2026-", ",2018-") for row in dated]
    added = range(1, trees_then - 7 + 1)
    more += [row.replace(f",{n},", f",{n + 9},") for row in more for n in added if f",{n},sugar" in row]
    rules = {}
    for many in (12, 2):
        ids = {f"p{k + 1}" for k in range(many)}
        earlier = [row for row in once if row.split(",")[0] in ids]
        then = [row for row in more if row.split(",")[0] in ids]
        (folder / "plots.csv").write_text("\n".join([plots[0], *earlier, *plots[1:], ""]))
        (folder / "trees.csv").write_text("\n".join([f"{trees[0]},date", *then, *dated, ""]))
        yearly = season(places.read(folder)).ceilings
        told = any(line.startswith("The first cruise saw") for line in rule_answer(yearly).more)
        rules[many], said_so = yearly.rule, told
        assert said_so == (many == 12)
    rule = rules[12]
    assert rule.first_cords == pytest.approx(trees_then / 7 * rule.stock_cords, rel=0.05)
    missing = {"first": rule.first_cords, "goal": rule.goal_cords}
    assert min(missing, key=missing.get) == binds
    assert (
        rule.pull_cords == pytest.approx((rule.stock_cords - missing[binds]) / 20.0, rel=1e-9) and rule.pull_cords < 0
    )
    assert rules[2].first_cords == rules[2].stock_cords and rules[2].pull_cords == 0.0


def rows_of_stands(folder, many, plots):
    """Equal stands of ten acres in a row, on each plot the same ten trees: 100 sq ft an acre."""
    trial.one_stand(folder, 10.0 * many, HARDWOODS, 1, MAPLES)
    shapes = json.loads((folder / "stands.geojson").read_text())
    (one,) = shapes["features"]
    (west, south), _, (east, north), *_ = one["geometry"]["coordinates"][0]
    step, told = (east - west) / many, []
    for at in range(many):
        x = [west + at * step, west + (at + 1) * step]
        ring = [[x[0], south], [x[1], south], [x[1], north], [x[0], north], [x[0], south]]
        told.append(
            {
                **one,
                "properties": one["properties"] | {"stand_id": f"s{at}"},
                "geometry": {"type": "Polygon", "coordinates": [ring]},
            }
        )
    (folder / "stands.geojson").write_text(json.dumps(shapes | {"features": told}))
    each = [(f"s{at}", f"{at}-{k}") for at in range(many) for k in range(plots)]
    lines = [f"{plot},{stand},2026-09-05,prism,10" for stand, plot in each]
    (folder / "plots.csv").write_text("\n".join(["plot_id,stand_id,date,kind,baf_sqft_per_ac", *lines, ""]))
    sizes = enumerate(zip(MAPLES, np.linspace(6.0, 15.0, len(MAPLES)), strict=True))
    trees = [f"{k},{kind},{dbh:.1f},66" for k, (kind, dbh) in sizes]
    lines = [f"{plot},{tree}" for _, plot in each for tree in trees]
    (folder / "trees.csv").write_text("\n".join(["plot_id,tree,species,dbh_in,height_ft", *lines, ""]))
    return trial.based(folder)


def test_who_measures_less_is_never_told_to_cut_more(tmp_path):
    """Sixteen equal stands with one plot each and with two: the errors of many single plots even out, but never above
    the middle; the share that is sure grows with plots, and with one it is what drawn woods of that error have.
    """
    rules = [rows_of_stands(tmp_path / f"{plots}", 16, plots).ceilings.rule for plots in (1, 2)]
    alone, two = rules
    assert alone.stock_cords == pytest.approx(two.stock_cords, rel=1e-6)
    assert alone.growth_share < two.growth_share and alone.stock_share < two.stock_share < 1.0
    assert alone.cords_per_yr < two.cords_per_yr
    draw = np.random.default_rng(5)
    shared = 0.08 * draw.standard_normal((40_000, 1)) + 0.45 * draw.standard_normal((40_000, 1))
    for rule, plots in zip(rules, (1, 2), strict=True):
        own = np.hypot(0.55 / np.sqrt(plots), 0.23) * draw.standard_normal((40_000, 16))
        tenth, half = np.quantile(np.exp(shared + own).sum(axis=1), (0.1, 0.5))
        assert rule.growth_share == pytest.approx(tenth / half, abs=0.04)
