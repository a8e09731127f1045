"""One list for the winter: sums over tally and schedule, order, and a schedule that is left the rest."""

import re
from dataclasses import replace
from datetime import date
from html import unescape

import numpy as np
import pandas as pd
import pytest

from woodlot.answers.cut_verb import cut_answer
from woodlot.answers.fell import fell_answer
from woodlot.answers.land import drawn
from woodlot.answers.this_winter import fits
from woodlot.answers.whole import answers
from woodlot.map import layers, page
from woodlot.paper import report
from woodlot.plan import winter_list, woods_today
from woodlot.plan.winter_list import KINDS, Task, taken
from woodlot.season import season

DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def otter(samples, shelf):
    """The large sample without wants, builds, ground to be cleared and words on its trees."""
    read = shelf.read(samples / "otter_lake", as_of=DAY)
    needs = {key: value for key, value in read.needs.items() if key != "clear"}
    tally = read.tally.assign(quality=None)
    return shelf.season(replace(read, wants=[], to_build=[], needs=needs, tally=tally))


def beside(one, **changes):
    """A season of the same place with other tables or settings, with what they do not move."""
    new = replace(one, place=replace(one.place, **changes))
    kept = ("measured", "standing", "seen", "woods", "to_work", "ceilings")
    vars(new)["_kept"] = {name: (getattr(one, name), vars(one)["_kept"][name][1]) for name in kept}
    return new


@pytest.fixture(scope="module")
def short(otter):
    """The same house with a tally of two stands that cannot give its ten cords, some of it ground to be cleared."""
    tally = otter.place.tally.iloc[:45].copy()
    tally["stand_id"] = ["1" if row % 3 else "7" for row in range(len(tally))]
    tally["mark"] = ["shed" if row % 5 == 0 else "blue" for row in range(len(tally))]
    needs = {"firewood_cord": 10.0, "poles": 4, "sawlogs": 3, "clear": ["shed"]}
    return beside(otter, tally=tally, needs=needs)


def task(kind, stand, road_ft, cords=1.0, **gives):
    """A bare task."""
    return Task(kind, stand, "", 1.0, (), 0, cords, 0.5, None, 0.0, 2.0, gives, None, "", None, road_ft, None, "", ())


def test_sums_are_those_of_the_choice_and_the_schedule(short):
    """Each line's pieces and cords over the tasks are what the choice got, firewood that is wanted by its heat; trees,
    wood and days sum to the whole.
    """
    of, chosen = short.winter, short.felling.chosen
    tally = [one for one in of.tasks if one.kind in ("clear", "fell")]
    jobs = [one for one in of.tasks if one.kind not in ("clear", "fell")]
    assert {one.kind for one in tally} == {"clear", "fell"} and len(tally) == 4 and jobs
    for want, line in zip(of.wants, chosen.lines.to_dict("records"), strict=True):
        assert sum(one.gives[want.name] for one in tally) == pytest.approx(line["got"])
        if want.name != "firewood":
            assert want.from_tally == pytest.approx(line["got"])
            assert sum(one.gives.get(want.name, 0.0) for one in jobs) == pytest.approx(want.from_jobs)
            continue
        assert want.from_tally < 10.0 and want.from_tally == pytest.approx(
            10.0 * line["mmbtu_got"] / line["mmbtu_wanted"]
        )
        heat = sum(one.heat_mmbtu for one in jobs)
        assert want.from_jobs == pytest.approx(10.0 * heat / line["mmbtu_wanted"]) and heat > 0
    hand = short.felling.trees["fell"] & (short.felling.trees["why"] == "")
    assert sum(one.trees for one in tally) == hand.sum() > 0
    names = [name for one in tally for name in one.tree_names]
    assert sorted(names) == sorted(short.felling.trees.loc[hand, "tree"].astype(str))
    away = short.felling.trees["cleared"] & (short.felling.trees["why"] != "")
    assert sum(one.not_by_hand for one in tally) == away.sum() > 0
    now = short.cutting.schedule.periods.iloc[0]
    assert sum(one.cords for one in jobs) == pytest.approx(now["cords"])
    assert sum(one.days for one in jobs) == pytest.approx(now["days"])


def test_cords_of_the_tally_are_the_stems_by_hand(otter):
    """On the sample: all parts of stems of the account over 79 cubic feet; stove wood is what the line got. Along the
    road a cord of stove wood takes 7.50803 hours, one of pieces 5.5 fewer, and a day has six.
    """
    (one,) = otter.tally_work
    parts = otter.felling.account.totals.set_index("part")["cuft"]
    stems = parts[["sawlog", "pole", "post", "bolt", "firewood from stems", "stem wood for chips"]].sum()
    pieces = parts[["sawlog", "pole", "post", "bolt"]].sum()
    assert one.cords == pytest.approx(stems / 79) and one.ft_from_road == 0.0
    assert one.days == pytest.approx((7.50803 * stems - 5.5 * pieces) / 79 / 6.0, rel=1e-5)
    assert one.firewood_cords == pytest.approx(one.gives["firewood"], rel=0.01)
    assert one.firewood_cords * 15 < one.heat_mmbtu < one.firewood_cords * 28
    assert one.bdft == pytest.approx(otter.felling.pieces["bdft"].sum())


def test_the_schedule_is_left_the_rest(otter, short):
    """What the tally meets is not cut again: nothing in the sample; of ten cords what 45 trees do not give."""
    assert otter.cutting.schedule.periods["cords"].iloc[0] == 0
    assert otter.cutting.schedule.periods["cords"].iloc[1] > 7
    (wood,) = [want for want in short.winter.wants if want.name == "firewood"]
    assert 0 < wood.from_tally < 10 and wood.from_jobs == pytest.approx(10 - wood.from_tally, rel=0.02)
    assert wood.short == 0.0
    have = short.place.limits["days_of_work_per_yr"]
    assert sum(one.days for one in short.winter.tasks) <= have + 1e-6


def test_days_of_the_tally_are_off_the_days_of_work(short):
    """With as many days as the tally takes, and one more, the schedule has that one."""
    spent = sum(one.days for one in short.tally_work)
    tight = beside(short, limits={**short.place.limits, "days_of_work_per_yr": spent + 1.0})
    now = tight.cutting.schedule.periods["days"]
    assert now.iloc[0] <= 1.0 + 1e-6 < now.iloc[1]


def test_what_is_taken_by_hand(otter):
    """Two tasks and two cords of the ledger: stove wood, its heat, pieces by name, all wood against the ceiling.
    What the ledger felled for the stove is off the list of wants already. Heat that a met line lacks is let go.
    """
    none = replace(otter.felling, asked=(), chosen=None)
    first = replace(task("fell", "1", 0.0, 3.0, firewood=2.5, poles=4.0), heat_mmbtu=50.0)
    got = taken([first, task("clear", "2", 0.0, poles=1.0)], 2.0, none)
    assert (got.firewood_cords, got.firewood_mmbtu, got.wood_cords, got.days) == (2.5, 50.0, 6.0, 4.0)
    assert got.pieces == {"poles": 5.0}
    line = otter.felling.chosen.lines.set_index("product").loc["firewood"]
    assert line["short"] == 0.0 and line["mmbtu_got"] < line["mmbtu_wanted"]
    assert taken([first], 0.0, otter.felling).firewood_mmbtu == pytest.approx(
        50.0 + line["mmbtu_wanted"] - line["mmbtu_got"]
    )


def test_trees_that_fall_are_not_there_to_be_cut_again(otter):
    """Stand 1 without the tally's cords: its cords by hand, its trees in even shares; the others as they were."""
    (one,) = otter.tally_work
    before, after = otter.woods, woods_today.less(otter.woods, pd.Series({"1": one.cords}))
    rows = zip(before.stands["stand_id"], before.stands.itertuples(), after.stands.itertuples(), strict=True)
    for at, (stand, old, new) in enumerate(rows):
        if stand == "1":
            assert new.cords * new.acres == pytest.approx(old.cords * old.acres - one.cords)
            share = new.cords / old.cords
            assert new.basal == pytest.approx(old.basal * share) and new.stems == pytest.approx(old.stems * share)
            np.testing.assert_allclose(after.trees[:, :, at], before.trees[:, :, at] * share)
        elif before.stands["way"].iloc[at] != "none":
            assert (new.cords, new.basal) == (old.cords, old.basal)


def test_the_order_by_hand(otter):
    """Cleared ground, marked trees, salvage, the schedule; within each the shortest way, unknown ways last."""
    tasks = [
        task("cut", "1", 0.0),
        task("salvage", "2", 900.0),
        task("fell", "3", None),
        task("fell", "4", 500.0),
        task("fell", "5", 20.0),
        task("clear", "6", 5000.0),
    ]
    of = winter_list.winter_list(tasks[2:], tasks[:2], [], None, replace(otter.felling, asked=(), chosen=None))
    assert [one.stand_id for one in of.tasks] == ["6", "5", "4", "3", "2", "1"]
    assert [one.kind for one in of.tasks] == sorted((one.kind for one in of.tasks), key=KINDS.index)


def test_without_tally_the_list_is_the_jobs_and_without_plots_the_tally(otter):
    """No tally: a task a job. No plots: the tally alone. Neither: nothing."""
    bare = beside(otter, tally=otter.place.tally[:0])
    jobs = [one.stand_id for one in bare.cutting.jobs]
    assert [one.stand_id for one in bare.winter.tasks] == jobs == ["11", "8"], "cedar posts of 11, firewood of 8"
    assert [one.kind for one in bare.winter.tasks] == ["cut", "cut"], "most of these stands lives on"
    assert bare.winter.losing == ("19",) == otter.winter.losing
    assert bare.winter.tallied == 0 and fits(bare) == ""
    stock = [one.cutting.schedule.stock["cords"].iloc[0] for one in (bare, otter)]
    cut = bare.cutting.schedule.periods["cords"].iloc[0]  # the stock is told after the first winter's cut
    assert stock[0] + cut - stock[1] == pytest.approx(otter.tally_work[0].cords)
    place = replace(otter.place, plots=otter.place.plots[:0], trees=otter.place.trees[:0])
    alone = season(place)
    assert [one.kind for one in alone.winter.tasks] == ["fell"]
    assert alone.winter.tasks[0].cords == pytest.approx(otter.winter.tasks[0].cords)
    none = season(replace(place, tally=place.tally[:0]))
    assert none.winter.tasks == ()


def test_marked_trees_stay_where_nothing_is_wanted(otter):
    """All but those not for hand felling are told as marked."""
    bare = beside(otter, needs={})
    assert bare.tally_work == () and bare.winter.wants == ()
    assert bare.winter.marked == (bare.felling.trees["why"] == "").sum() == 106
    assert bare.winter.losing == (), "the plan's own words name them"


def test_a_job_is_salvage_only_where_the_wood_dies(otter):
    """All that may be cut is cut, the fir of stand 19 too: it is salvage, and not lost; a stand in which less dies than
    an entry takes, as pine stand 14, is none.
    """
    place = replace(otter.place, tally=otter.place.tally[:0], limits={})
    tasks = replace(otter, place=place, cut_more=True, years=2).winter
    kinds = {one.stand_id: one.kind for one in tasks.tasks}
    table = otter.ceilings.table.set_index("stand_id")
    mostly = table.index[table["salvage"] & (table["salvage_cords"] >= table["entry_cords"])]
    assert list(mostly) == ["19"] and table["salvage"][["8", "14"]].all()
    assert {stand for stand, kind in kinds.items() if kind == "salvage"} == {"19"} and kinds["14"] == "cut"
    assert not set(tasks.losing) & set(kinds)


def test_what_a_tally_gives_is_told_in_the_wood_that_was_asked_for(short):
    """Thirteen cords of poplar are no ten cords of oak: a line short of heat is short."""
    lines = short.felling.chosen.lines.copy()
    at = lines.index[lines["product"] == "firewood"]
    lines.loc[at, ["got", "short", "mmbtu_got"]] = [13.0, 2.5, 0.75 * lines.loc[at, "mmbtu_wanted"].iloc[0]]
    felling = replace(short.felling, chosen=replace(short.felling.chosen, lines=lines))
    (fire,) = [
        w for w in winter_list.wants_met(felling, [one.name for one in short.winter.wants]) if w.name == "firewood"
    ]
    assert fire.from_tally == pytest.approx(7.5) and fire.short == pytest.approx(2.5)
    lines.loc[at, ["short", "mmbtu_got"]] = [0.0, 0.97 * lines.loc[at, "mmbtu_wanted"].iloc[0]]
    (fire,) = [
        w for w in winter_list.wants_met(felling, [one.name for one in short.winter.wants]) if w.name == "firewood"
    ]
    assert fire.from_tally == 10.0 and fire.short == 0.0, "near enough is met"


@pytest.mark.slow
def test_screen_report_and_json_say_the_same(short):
    """One sentence for cut, fell and plan; the row holds each task whole; totals, stands and parcels hold its sums."""
    told = answers(short)
    work = told.this_winter
    assert work.fits and work.fits == fell_answer(short).fits == cut_answer(short, None, None).fits
    (row,) = [row for row in told.rows if row.topic == "winter"]
    assert all(one.words.partition(" of work.")[0] in row.why for one in work.tasks)
    assert told.totals.this_winter_cords == pytest.approx(work.cords) == pytest.approx(sum(t.cords for t in work.tasks))
    assert [one.order for one in work.tasks] == list(range(1, len(work.tasks) + 1))
    here = {stand.stand_id for stand in told.stands if stand.cut.this_winter}
    assert here == {one.stand_id for one in work.tasks} == set(told.totals.stands_this_winter)
    for stand in told.stands:
        mine = [one for one in work.tasks if one.stand_id == stand.stand_id]
        assert (stand.cut.cords.value if stand.cut.cords else 0.0) == pytest.approx(sum(one.cords for one in mine))
        assert not mine or stand.cut.words.startswith("This winter: ")
    for want in work.wants:
        assert want.short == pytest.approx(
            max(want.wanted - want.from_tally - want.from_plan, 0.0), abs=0.01 * want.wanted
        )


@pytest.mark.slow
def test_report_and_map_hold_the_sentences_of_the_list(short):
    """Each task in the report's page and in the map's list in the same order, with the sum."""
    told, shapes = answers(short), drawn(short)
    work, parts = told.this_winter, (shapes["parcels"], shapes["stands"], shapes["features"])
    layers_of = layers.build(told, **shapes)
    listed = layers_of["work"]
    assert [(one["order"], one["words"]) for one in listed["tasks"]] == [(one.order, one.words) for one in work.tasks]
    assert listed["headline"] == told.headline and listed["after"] == [work.words, work.fits]
    paper = unescape(re.sub("<[^>]+>", "", report.html(told, *parts, drawn=layers_of)))
    at = [paper.index(one.words) for one in work.tasks]
    pages = paper[paper.index("This winter, one list") :]
    assert [pages.index(one.words) for one in work.tasks] == sorted(pages.index(one.words) for one in work.tasks)
    assert at == sorted(at) and work.words in pages
    names = {tree.tree for tree in work.sheet if not tree.why}
    assert names == {name for one in work.tasks for name in one.tree_names}
    assert pages.count("trees of the tally to fell") == 1
    still = unescape(page.html(told, **shapes, drawn=layers_of))
    assert all(f"<p>{one.order}. {one.words}</p>" in still for one in work.tasks)


def test_lines_of_one_name_are_one_row_and_trees_without_a_stand_stay_apart(otter):
    """The same posts asked for twice are one row of their sum; trees that name no stand are listed by their parcel."""
    posts = {"posts": 2, "pieces": [{"product": "post", "number": 3}, {"product": "pole", "number": 1}]}
    tally = otter.place.tally.iloc[:30].copy()
    tally["stand_id"], tally["parcel_id"] = None, ["lake" if row % 2 else "kettle" for row in range(30)]
    of = beside(otter, tally=tally, needs=posts | {"firewood_cord": 3.0}).winter
    names = [want.name for want in of.wants]
    assert sorted(names) == ["firewood", "lasting posts", "poles"]
    (posts,) = [want for want in of.wants if want.name == "lasting posts"]
    assert posts.wanted == 5.0
    fell = [one for one in of.tasks if one.kind == "fell"]
    assert [(one.stand_id, one.parcel_id) for one in fell] == [("", "kettle"), ("", "lake")]
    assert sum(one.gives["lasting posts"] for one in fell) == posts.from_tally > 0
