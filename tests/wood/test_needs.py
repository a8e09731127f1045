"""Trees to fell for a household's list: met with the least, checked again, and what is missing said."""

import itertools

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.tree.volume import volumes
from woodlot.wood import fell_check, fell_search, needs, products, stick
from woodlot.wood.need_lines import Line, hand_felling, lines


def many(size, seed=1):
    """Made-up trees of six species, 5 to 26 in."""
    draw = np.random.default_rng(seed)
    dbh = np.clip(draw.gamma(6, 2.0, size), 5, 26)
    names = ["sugar maple", "northern white-cedar", "red pine", "northern red oak", "paper birch", "balsam fir"]
    return pd.DataFrame(
        {
            "dbh_in": dbh,
            "height_ft": np.clip(25 + 3.1 * dbh + draw.normal(0, 5, size), 25, 95),
            "species": draw.choice(names, size),
            "cull_pct": draw.choice([0, 0, 5, 20], size),
            "sweep_pct": draw.choice([0, 0, 5, 15], size),
            "alive": True,
        }
    )


LIST = {
    "firewood_cord": 0.4,
    "chips_cuyd": 0.5,
    "pieces": [
        {"product": "post", "number": 3, "length_ft": 7, "top_in": 4},
        {"product": "sawlog", "number": 1, "length_ft": 8, "top_in": 9},
        {"product": "pole", "number": 1, "length_ft": 16, "top_in": 4, "butt_in": 9},
    ],
}


def every_count(told, tree):
    """For one tree every set of pieces it can give, each with the most stove wood; place by place, nothing pruned."""
    places = told.stems.last[tree] + 1
    states = [{} for _ in range(places)]
    states[0][(0,) * len(told.choices)] = 0.0
    for s in range(places):
        for counts, stove in states[s].items():
            if s + 1 < places:
                more = told.below[s + 1, tree] - told.below[s, tree]
                kept = states[s + 1].get(counts, -1.0)
                states[s + 1][counts] = max(kept, stove + more)
            for c, made in enumerate(told.choices):
                to = s + made.steps
                thick = to < places and told.dib[to, tree] >= made.least_top_in
                if thick and told.dib[s, tree] <= made.most_butt_in and told.allowed[c, tree]:
                    added = tuple(n + (k == c) for k, n in enumerate(counts))
                    states[to][added] = max(states[to].get(added, -1.0), stove)
    return states[-1]


def least_of_all(told):
    """Least cost over all trees, all their sets of pieces, stove wood burnt or chipped; tried one by one."""
    each = []
    for i in range(len(told.rows)):
        options = [(0.0, np.zeros(len(told.lines)))]
        for counts, stove in every_count(told, i).items():
            for chipped in (False, True):
                give = np.zeros(len(told.lines))
                np.add.at(give, told.line_of, np.array(counts, dtype=float))
                sound = stove * told.factor[i]
                burnt = (0.0 if chipped else sound) + told.limbs_cuft[i]
                give += told.burns[:, i] * burnt / told.solid
                give += told.chips * (told.brush_cuyd[i] + (sound * told.chips_cuyd_per_cuft if chipped else 0.0))
                options.append((told.cost[i], give))
        each.append(options)
    best = np.inf
    for picked in itertools.product(*each):
        got = np.sum([give for _, give in picked], axis=0)
        short = np.maximum(told.need - got, 0.0)
        if (short[told.hard] <= 1e-9).all():
            best = min(best, sum(cost for cost, _ in picked) + float((told.penalty * short).sum()))
    return best


@pytest.mark.parametrize("seed", range(6))
def test_the_least_is_the_least_of_all_ways_listed(seed):
    """Three short trees, three lines: the proven answer costs what the best of all combinations costs."""
    draw = np.random.default_rng(seed)
    trees = pd.DataFrame(
        {
            "dbh_in": draw.uniform(7, 12, 3),
            "height_ft": draw.uniform(30, 40, 3),
            "species": draw.choice(["northern white-cedar", "red pine", "sugar maple"], 3),
            "cull_pct": draw.choice([0.0, 5.0, 20.0], 3),
        }
    )
    asked = lines(
        {
            "firewood_cord": float(draw.uniform(0.02, 0.1)),
            "chips_cuyd": float(draw.choice([0.0, 0.4])),
            "pieces": [
                {"product": "post", "number": int(draw.integers(1, 4)), "length_ft": 7, "top_in": 4},
                {"product": "pole", "number": 1, "length_ft": 12, "top_in": 4},
            ],
        },
        region=shipped("base"),
    )
    asked = [line for line in asked if line.number > 0]
    told = fell_search.program(
        volumes(trees, region=shipped("base")),
        np.ones(3, dtype=bool),
        asked,
        "scribner",
        79.0,
        "210",
        None,
        region=shipped("base"),
    )
    answer = needs.choose(trees, asked, log_rule="scribner", region=shipped("base"))
    fell_search.solved(told, 1e-4, 10_000, region=shipped("base"))  # says which lines must be met in full
    short = answer.lines["short"].to_numpy() @ told.penalty
    assert answer.proven and answer.gap_pct == 0.0
    assert answer.wood_cuft + short == pytest.approx(least_of_all(told), abs=1e-6)


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 10_000))
def test_an_answer_stands_when_it_is_counted_again(seed):
    """Every line gets what the pieces on the ground give; no tree twice; pieces fit; what is short is said."""
    trees = many(25, seed)
    told = needs.choose(trees, LIST, prove=False, region=shipped("base"))
    felled = told.trees.index[told.trees["fell"]]
    assert set(told.pieces["stem"]) <= set(felled) and set(told.firewood_cuft.index) == set(felled)
    posts = told.pieces[told.pieces["product"] == "post"]
    assert len(posts) == told.lines.set_index("product")["got"]["post"]
    assert (posts["small_end_in"] >= 4 - 1e-9).all()
    stove = told.firewood_cuft.sum() / 79
    assert told.lines.set_index("product")["got"]["firewood"] <= stove + 1e-9
    volume = volumes(trees, region=shipped("base"))["wood_cuft"]
    assert told.wood_cuft == pytest.approx(volume[felled].sum())
    assert ((told.lines["short"] > 0) == told.lines["why"].notna()).all()
    again = needs.choose(trees, LIST, prove=False, region=shipped("base"))
    assert list(again.trees["fell"]) == list(told.trees["fell"])


@pytest.mark.slow
@settings(max_examples=4, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 9))
def test_taking_a_tree_away_never_improves_the_least(seed, gone):
    """Fewer trees to choose from never meet a list with less wood, nor leave less of it missing."""
    trees = many(10, seed)
    asked = {"firewood_cord": 0.2, "pieces": LIST["pieces"][:1]}
    whole = needs.choose(trees, asked, region=shipped("base"))
    fewer = needs.choose(trees.drop(index=gone), asked, penalties=whole.penalties, region=shipped("base"))
    assert whole.proven and fewer.proven
    if fewer.met:
        assert whole.met and whole.wood_cuft <= fewer.wood_cuft + 1e-6
    else:
        missing = [sum(t.lines["short"][at] * p for at, p in whole.penalties.items()) for t in (whole, fewer)]
        assert missing[0] <= missing[1] + 1e-6


def test_a_search_that_runs_out_of_nodes_says_so():
    """60 trees, three times the list: with one node it stops, and what it found meets the list; with enough it ends."""
    asked = {"firewood_cord": 1.2, "pieces": [one | {"number": 3 * one["number"]} for one in LIST["pieces"]]}
    one, more = (
        needs.choose(many(60, 3), asked, gap_pct=0.001, prove=False, nodes=n, region=shipped("base"))
        for n in (1, 10_000)
    )
    assert one.stopped and one.met and not one.proven
    assert not more.stopped and more.wood_cuft <= one.wood_cuft + 1e-6


def test_dead_hung_and_leaning_trees_are_never_chosen():
    """They stand on their own list with the reason; a list that only they could meet falls short."""
    trees = pd.DataFrame(
        {
            "species": ["white ash", "sugar maple", "northern red oak", "red pine", "black ash"],
            "dbh_in": [14.0, 14.0, 14.0, 14.0, 9.0],
            "height_ft": 65.0,
            "alive": [False, False, True, True, True],
            "mark": ["", "", "hung in the pine", "Leaning hard", "barn"],
        }
    )
    why = hand_felling(trees, region=shipped("base"))
    assert list(why) == ["dead ash", "dead", "hung in another tree", "leaning", ""]
    told = needs.choose(trees, {"firewood_cord": 1.0}, region=shipped("base"))
    assert list(told.trees["fell"]) == [False, False, False, False, True]
    assert not told.met
    assert list(told.trees["not_by_hand"]) == list(why)


def test_a_list_that_cannot_be_met_names_the_nearest():
    """Cedar posts asked 6 in thick where cedars are thin: what is missing and the size these trees do have."""
    trees = pd.DataFrame({"species": "northern white-cedar", "dbh_in": [9.0] * 4, "height_ft": 42.0, "cull_pct": 0.0})
    ask = {"pieces": [{"product": "posts", "number": 6, "length_ft": 8, "top_in": 7.5, "lasting": True}]}
    told = needs.choose(trees, ask, region=shipped("base"))
    row = told.lines.iloc[0]
    assert row["got"] + row["short"] == 6 and 0 < row["short"] < 6
    assert "there would be 6 with a top of" in said(row["why"])
    none = needs.choose(trees.assign(species="sugar maple"), ask, region=shipped("base")).lines.iloc[0]
    assert none["short"] == 6 and said(none["why"]) == "0 of 6 posts; no more lasting wood of that size in this tally"


def test_lines_carry_sizes_and_woods():
    """What is not written takes the usual size; lasting and hot become woods; twelve kinds of slip are refused."""
    told = lines(
        {"posts": 12, "poles": 4, "sawlogs": 8, "firewood_cord": 6, "firewood_hot_cord": 2, "chips_cuyd": 30},
        region=shipped("base"),
    )
    assert [(x.product, x.number, x.top_in) for x in told[:3]] == [("post", 12, 4), ("pole", 4, 4), ("sawlog", 8, 9)]
    assert told[-1].woods == "hot" and told[-1].name == "firewood that burns hot"
    one = lines(
        {"pieces": [{"product": "post", "number": 14, "length_ft": 7, "top_in": 5, "lasting": True}]},
        region=shipped("base"),
    )[0]
    assert one.name == "posts 7 ft by 5 in top, lasting wood" and told[0].woods == "lasting"
    assert [x.woods for x in told[1:3]] == ["any", "any"]
    bare = lines({"pieces": [{"product": "post", "number": 4, "wood": "Any"}]}, region=shipped("base"))[0]
    assert bare.woods == "any" and bare.name == "posts 7 ft by 4 in top, any wood"
    assert (
        lines({"pieces": [{"product": "post", "number": 4, "lasting": False}]}, region=shipped("base"))[0].woods
        == "any"
    )
    with pytest.raises(InputError, match="Must be post"):
        lines({"pieces": [{"product": "shingle", "number": 1}]}, region=shipped("base"))
    with pytest.raises(InputError, match="no number that can be met"):
        lines({"pieces": [{"product": "post", "number": -3}]}, region=shipped("base"))
    with pytest.raises(InputError, match="nothing is asked for"):
        needs.choose(many(3), {}, region=shipped("base"))


def test_hot_wood_is_part_of_all_firewood():
    """Two lines of firewood share the same wood: the hot half counts for both."""
    trees = many(30, 4)
    told = needs.choose(trees, {"firewood_cord": 1.0, "firewood_hot_cord": 0.5}, region=shipped("base"))
    rows = told.lines.set_index(pd.Index([line.name for line in told.asked]))
    assert told.met and rows["got"]["firewood"] >= 1.0 - 1e-6 and rows["got"]["firewood that burns hot"] >= 0.5 - 1e-6
    assert told.firewood_cuft.sum() / 79 < 1.4


def test_board_feet_can_be_asked_for():
    """A line by board feet is met by logs of any length, counted sound by the rule chosen."""
    told = needs.choose(many(40, 2), {"sawlogs_bdft": 300.0}, log_rule="doyle", region=shipped("base"))
    assert told.met and told.pieces["bdft"].sum() == pytest.approx(told.lines["got"][0])


def test_the_account_of_chosen_trees_holds_what_the_lines_got():
    """Stove wood of stems and the counted half of limbs is the firewood line; chipped stems stand apart."""
    told = needs.choose(many(25, 3), {"firewood_cord": 0.6, "chips_cuyd": 6.0}, region=shipped("base"))
    made = needs.account_of(told, region=shipped("base"))
    sums = made.totals.set_index("part")["cuft"]
    got = told.lines.set_index("product")["got"]
    assert (sums["firewood from stems"] + 0.5 * sums["firewood from limbs"]) / 79 == pytest.approx(got["firewood"])
    assert told.to_chips.any() == (sums["stem wood for chips"] > 0)
    assert set(made.scaling.columns) == {"taper_cuft", "equation_cuft", "scale"}


def stood(*trees):
    """Sound trees: species, dbh, height."""
    rows = [dict(zip(("species", "dbh_in", "height_ft"), one, strict=True)) for one in trees]
    return pd.DataFrame(rows).assign(cull_pct=0.0, sweep_pct=0.0, alive=True)


def test_a_fence_gets_cedar_though_a_fir_is_the_cheaper_tree():
    """Two posts of a thin fir and a thick cedar: the cedar falls; where any wood will do the fir, which is less wood.

    The fence builder wants posts that still hold the wire in ten years, and to hear how many are lacking.
    """
    trees = stood(("balsam fir", 7.5, 50.0), ("northern white-cedar", 11.0, 42.0))
    told = needs.choose(trees, {"posts": 2}, region=shipped("base"))
    assert list(told.trees["fell"]) == [False, True] and told.met
    bare = needs.choose(trees, {"pieces": [{"product": "post", "number": 2, "wood": "any"}]}, region=shipped("base"))
    assert list(bare.trees["fell"]) == [True, False] and bare.met and bare.wood_cuft < told.wood_cuft
    both = needs.choose(trees, {"pieces": [{"product": "post", "number": 7, "wood": "any"}]}, region=shipped("base"))
    years = products.post_years(both.pieces, trees["species"], region=shipped("base"))
    assert [row.species for row in years] == ["northern white-cedar", "balsam fir"]
    (row,) = products.post_years(bare.pieces, trees["species"], region=shipped("base"))
    assert (row.species, row.posts, row.years_low, row.years_high) == ("balsam fir", 2, 2, 4)


def test_posts_that_only_fir_could_give_are_short_and_said():
    """One cedar among twenty firs, twelve posts: those of the cedar, the rest told as short; no thinner, sappy ones."""
    trees = stood(("northern white-cedar", 11.0, 42.0), *[("balsam fir", 9.0, 55.0)] * 20)
    told = needs.choose(trees, {"posts": 12}, region=shipped("base"))
    row = told.lines.iloc[0]
    assert list(told.trees.index[told.trees["fell"]]) == [0] and 0 < row["got"] < 12
    assert said(row["why"]) == f"{row['got']:g} of 12 posts; no more lasting wood of that size in this tally"
    sappy = stood(("northern white-cedar", 9.0, 42.0))
    for wood, size in ((None, "of 6 ft"), ("any", "with a top of 3.5 in")):
        ask = {"product": "post", "number": 5} | ({"wood": wood} if wood else {})
        why = needs.choose(sappy, {"pieces": [ask]}, region=shipped("base")).lines["why"][0]
        assert said(why) == f"4 of 5 posts; there would be 5 {size}"
    as_many = [{"product": "post", "number": row["got"]}]
    thinner = needs.choose(trees[:1], {"pieces": [as_many[0] | {"top_in": 6.0}]}, region=shipped("base")).lines.iloc[0]
    assert f"there would be {row['got']:g} with a top of 4" in said(thinner["why"])


def test_a_line_of_thin_posts_is_told_as_sapwood():
    """Trellis posts of 3 in are cut from lasting wood, and their years are those of sapwood; thick ones keep theirs."""
    trees = stood(("northern white-cedar", 11.0, 42.0))
    told = needs.choose(
        trees, {"pieces": [{"product": "post", "number": 4, "length_ft": 7, "top_in": 3.2}]}, region=shipped("base")
    )
    rows = {row.species: row for row in products.post_years(told.pieces, trees["species"], region=shipped("base"))}
    assert rows["northern white-cedar, mostly sapwood"].years_high == 4
    assert rows["northern white-cedar"].years_high == 15 and sum(row.posts for row in rows.values()) == 4


def test_classes_of_decay_stand_for_every_kind_that_is_asked_about():
    """Lasting: exceptional, resistant, tamarack; not white pine nor honeylocust; kinds not listed never; marks kept."""
    names = pd.Series(shipped("base").species.listed)
    told = products.decay(names, region=shipped("base")).set_index(names)
    lasting = set(names[products.lasts(names, region=shipped("base"))])
    assert {"northern white-cedar", "tamarack", "white oak", "black cherry", "black locust"} <= lasting
    assert not lasting & {"eastern white pine", "honeylocust", "balsam fir", "northern red oak", "boxelder", "pin oak"}
    assert set(told["heartwood_class"][list(lasting - {"tamarack"})]) == {"exceptional", "resistant"}
    assert told["heartwood_class"]["sugar maple"] == "none" and told["years_seen"]["tamarack"] == "memory"
    rows = shipped("base").table("decay_classes")
    known = rows["years_low"].notna()
    assert rows["years_seen"].notna()[known].all() and (rows["years_low"] <= rows["years_high"])[known].all()
    assert rows["species"].is_unique and set(rows["years_seen"].dropna()) <= {
        "read", "read 2nd-hand", "memory", "derived", "chosen"
    }  # fmt: skip


def cleared(trees, asked, log_rule="international_quarter"):
    """Trees that are all felled, for a list first and then for the best use, and their best use alone."""
    listed = products.listed(region=shipped("base"))
    told = needs.choose(trees, asked, best_use=listed, log_rule=log_rule, region=shipped("base"))
    return told, stick.buck(
        volumes(trees, region=shipped("base")), listed, log_rule, compare=False, region=shipped("base")
    )


def test_where_all_is_felled_the_list_takes_nothing_that_tops_can_give():
    """A straight maple and a crooked one, little firewood asked: the same logs as without a list, none of them burnt.

    Who clears ground wants the list met from what is worth least, since no tree is spared. The least standing wood,
    asked alone, would burn one maple whole.
    """
    trees = stood(("sugar maple", 17.0, 75.0), ("sugar maple", 13.0, 65.0)).assign(sweep_pct=[0.0, 60.0])
    told, best = cleared(trees, {"firewood_cord": 0.15})
    assert told.met and told.trees["fell"].all()
    assert told.pieces["bdft"].sum() == pytest.approx(best.pieces()["bdft"].sum()) and told.pieces["bdft"].sum() > 100
    assert list(told.pieces["from_ft"]) == pytest.approx(list(best.pieces()["from_ft"]))


def test_where_all_is_felled_the_list_comes_before_the_best_use():
    """Poles from stems that would be logs, posts from the cedar and not the fir, and more firewood than tops give."""
    trees = stood(("red pine", 13.0, 70.0), ("northern white-cedar", 12.0, 45.0), ("balsam fir", 9.0, 55.0))
    told, best = cleared(trees, {"pieces": [{"product": "pole", "number": 2}], "posts": 3, "firewood_cord": 0.1})
    assert told.met and told.trees["fell"].all()
    made = told.pieces.assign(species=trees["species"].reindex(told.pieces["stem"]).to_numpy())
    assert set(made.loc[made["kind"] == "post", "species"]) == {"northern white-cedar"}
    long = best.pieces().query("kind == 'pole' and length_ft == 16")
    assert (told.pieces["line"] == 2).sum() == 2 > len(long)
    hot, _ = cleared(trees, {"firewood_cord": 0.6})
    assert hot.met and hot.pieces["bdft"].sum() < best.pieces()["bdft"].sum()


@pytest.mark.parametrize("rule", ["international_quarter", "doyle"])
def test_where_all_is_felled_board_feet_on_the_list_are_those_of_the_logs_on_the_pile(rule):
    """Board feet that the best use gives anyway cost no piece of it; more than there are fall short and are said."""
    trees = stood(("red pine", 15.0, 75.0), ("sugar maple", 18.0, 75.0))
    _, best = cleared(trees, {"posts": 1}, rule)
    there = best.pieces()["bdft"].sum()
    told, _ = cleared(trees, {"sawlogs_bdft": 0.8 * there}, rule)
    assert told.met and told.pieces["bdft"].sum() == pytest.approx(there)
    assert list(told.pieces["from_ft"]) == pytest.approx(list(best.pieces()["from_ft"]))
    none, _ = cleared(trees, {"sawlogs_bdft": 5 * there}, rule)
    assert none.lines["short"][0] > 0 and "board feet short" in said(none.lines["why"][0])


@pytest.mark.slow
@settings(max_examples=5, deadline=None)
@given(st.integers(0, 10_000))
def test_where_all_is_felled_every_tree_is_cut_once_and_counted_again(seed):
    """All trees for hand felling have one cut list; dead ones fall too but give nothing; parts sum to the trees."""
    trees = many(12, seed)
    trees.loc[0, "alive"] = False
    told, _ = cleared(trees, LIST)
    assert told.trees["fell"].all() and set(told.firewood_cuft.index) == set(range(1, 12))
    assert not (told.pieces["stem"] == 0).any() and told.gap_pct < 1.0
    for at, line in enumerate(lines(LIST, region=shipped("base"))):
        if line.lengths_ft:
            assert told.lines["got"][at] == (told.pieces["line"] == at).sum()
    made = needs.account_of(told, region=shipped("base"))
    assert made.parts["stem"].nunique() == 12 and told.wood_cuft == pytest.approx(
        volumes(trees, region=shipped("base"))["wood_cuft"].sum()
    )


def test_smaller_sizes_in_the_order_in_which_they_are_offered():
    """Thinner by halves to 4 in, where lasting wood turns to sap; then shorter, not under 4 ft; then both."""
    line = Line("post", 9, (7.0,), top_in=5.0, woods="lasting")
    assert list(fell_check._smaller(line, region=shipped("base"))) == [
        *((top, (7.0,)) for top in (4.5, 4.0)),
        *((5.0, (feet,)) for feet in (6.0, 5.0)),
        *((4.0, (feet,)) for feet in (6.0, 5.0)),
    ]


def test_names_of_lines_by_their_lengths():
    """One length, two by "or", three or more by their ends."""
    for lengths, name in (((7.0,), "7"), ((7.0, 8.0), "7 or 8"), ((8.0, 10.0, 12.0), "8 to 12")):
        assert Line("post", 4, lengths, top_in=4.5).name == f"posts {name} ft by 4.5 in top"
