"""What is said of the cut, word for word: each reason of the plan, a stand, a job, and the woods behind them."""

import pandas as pd
import pytest

from woodlot.estimate import Reason, reason
from woodlot.plan.job import Job
from woodlot.say import cut, plan_reasons, words
from woodlot.say.reasons import said

SAID = [
    (
        {"key": "left out", "strip_ac": 2.34, "waters": ("Otter Lake", "", ""), "steep_ac": 0.0},
        "2.3 acres along Otter Lake and water are left out.",
    ),
    (
        {"key": "left out", "strip_ac": 1.0, "waters": ("",), "steep_ac": 0.52},
        "1.0 acres along water and 0.5 acres too steep for skidding are left out.",
    ),
    (
        {"key": "left out", "strip_ac": 0.01, "waters": (), "steep_ac": 3.0},
        "3.0 acres too steep for skidding are left out.",
    ),
    ({"key": "nothing may be cut"}, "nothing may be cut here now"),
    ({"key": "published growth"}, "without cores growth is a published rate: the range has no odds"),
    ({"key": "no range anywhere"}, "no stand has enough plots for a range"),
    ({"key": "not cut by rule", "rule": "No wood to speak of."}, "Nothing is to be cut here. No wood to speak of."),
    ({"key": "not worked"}, "Nothing this year. It is not to be worked."),
    ({"key": "no ground to work"}, "Nothing this year. All of it lies along water or on ground too steep to work."),
    ({"key": "no plot here"}, "No number yet. Nobody has put a plot here. Three plots would give a first figure."),
    ({"key": "no wood on plots"}, "Nothing this year. No wood was found on its plots."),
    (
        {"key": "no cut without range", "why": reason("no spread")},
        "Nothing this year. Don't plan a cut on it: the spread between samples is not known.",
    ),
    ({"key": "below stocking"}, "Nothing this year. It is below the stocking it should keep."),
    (
        {"key": "at most", "cords": 8.66, "ceiling": "area"},
        "8.7 cords a year at most, full cords. The smallest of three ceilings is its share of a cutting cycle.",
    ),
    (
        {"key": "at most", "cords": 1.0, "ceiling": "growth"},
        "1.0 cord a year at most, full cords. The smallest of three ceilings is what it grows.",
    ),
    (
        {"key": "at most", "cords": 22.4, "ceiling": "meyer"},
        "22 cords a year at most, full cords. The smallest of three ceilings is what leads it to its goal.",
    ),
    (
        {"key": "beyond pine equation", "stands": ("2", "14")},
        "Beyond what the pine equation was made for: stand 2, 14.",
    ),
    (
        {"key": "pine as red pine", "stands": ("14",)},
        "The growth equation is that of red pine; for the pine of stand 14 it is assumed.",
    ),
    (
        {"key": "growth too fast", "most_cords": 1.0},
        "Growth of more than 1 cord an acre a year over a whole place is not to be believed without cores.",
    ),
    ({"key": "some without cores"}, "Some stands have no cores: their growth is a published rate, low to high."),
    (
        {"key": "nothing due"},
        "Nothing this year. No stand is over the stocking it should keep and measured well enough.",
    ),
    (
        {"key": "gives none", "of": "lasting posts", "number": 12.0, "step_yr": 1},
        "Not to be had: 12 lasting posts a year; no tree that may be cut gives one.",
    ),
    (
        {"key": "gives none", "of": "poles", "number": 0.4, "step_yr": 5},
        "Not to be had: 1 pole each period; no tree that may be cut gives one.",
    ),
    (
        {"key": "cannot be had", "of": "firewood", "number": 1.0, "years": (2027, 2029), "step_yr": 1},
        "1.0 cord of the firewood wanted cannot be had (winter 2027–28, winter 2029–30).",
    ),
    (
        {"key": "cannot be had", "of": "posts", "number": 1200.2, "years": (2031,), "step_yr": 5},
        "1,201 posts wanted cannot be had (2031 to 2035).",
    ),
    (
        {"key": "cannot be had", "of": "posts", "number": 3.0, "years": (), "step_yr": 1},
        "3 posts wanted cannot be had (every winter).",
    ),
    (
        {"key": "cannot be had", "of": "posts", "number": 3.0, "years": (), "step_yr": 5},
        "3 posts wanted cannot be had (every period).",
    ),
    (
        {"key": "cannot be had", "of": "posts", "number": 150.0, "years": (2028,), "step_yr": 1, "once": True},
        "150 posts wanted cannot be had by the end of winter 2028–29.",
    ),
    (
        {"key": "gives none", "of": "lasting posts", "number": 200.0, "step_yr": 1, "once": True},
        "Not to be had: 200 lasting posts once; no tree that may be cut gives one.",
    ),
    (
        {"key": "in the way", "of": "posts", "limits": (), "step_yr": 1, "least_entry_cords": 0.5},
        "No single limit is in the way: without any one of them as much would be missing.",
    ),
    (
        {
            "key": "in the way",
            "of": "firewood",
            "limits": (("work", 4.0, 0.0, 33.1), ("entry", 2.5, 1.5, 0.0), ("neighbors", 1.0, 3.0, 0.0)),
            "step_yr": 5,
            "least_entry_cords": 0.5,
        },
        "In the way: the days of work (with 7 days a year nothing would be missing), the least entry of 0.50 cords "
        "(without it 2.5 cords less), a cut patch that keeps its edge neighbors shut (without it 1.0 cord less).",
    ),
    (
        {
            "key": "in the way",
            "of": "posts",
            "limits": (
                ("frozen", 2.0, 1.0, 0.0),
                ("cut", 1.0, 2.0, 0.0),
                ("end", 1.0, 2.0, 0.0),
                ("stock", 1.0, 2.0, 0.0),
            ),
            "step_yr": 1,
            "least_entry_cords": 0.5,
        },
        "In the way: the days of work on frozen ground (without it 2 posts fewer), what may be cut each year "
        "(without it "
        "1 post fewer), what must stand at the end (without it 1 post fewer), what must stand in every year "
        "(without it "
        "1 post fewer).",
    ),
    (
        {
            "key": "met",
            "goals": (("firewood", 35.0, False), ("posts", 200.0, True), ("poles", 20.0, False)),
            "step_yr": 5,
        },
        "What is wanted is met throughout: 35 cords of firewood, 20 poles each period; 200 posts once.",
    ),
    (
        {"key": "stock falls", "cords": 480.0},
        "Even without a cut the stock would end 480 cords under the start: more dies there than grows.",
    ),
    ({"key": "all is cut"}, "All that may be cut is cut throughout."),
    (
        {"key": "binds", "limit": "need", "year": 2026, "step_yr": 1, "price": 1.25},
        "The firewood wanted in winter 2026–27 holds the plan back. With one cord less wanted, the whole "
        "plan would give "
        "1.2 cords more.",
    ),
    (
        {"key": "binds", "limit": "want lasting posts", "year": 2031, "step_yr": 5, "price": 2.0},
        "The lasting posts wanted in 2031 to 2035 hold the plan back. With one less wanted, the whole plan "
        "would give 2.0 "
        "cords more.",
    ),
    (
        {"key": "binds", "limit": "cut", "year": 2026, "step_yr": 1, "price": 1.0},
        "All that may be cut in winter 2026–27 is cut. If one cord more might be taken, the whole plan would "
        "give 1.0 cord "
        "more.",
    ),
    (
        {"key": "binds", "limit": "work", "year": 2026, "step_yr": 1, "price": 1.0},
        "All days of work in winter 2026–27 are used. With one day more, the whole plan would give 1.0 cord more.",
    ),
    (
        {"key": "binds", "limit": "end", "year": 2035, "step_yr": 1, "price": 1.0},
        "What must stand at the end holds the cut back. With one cord less left standing, the whole plan "
        "would give 1.0 "
        "cord more.",
    ),
    (
        {"key": "binds", "limit": "stock", "year": 2031, "step_yr": 5, "price": 1.0},
        "What must stand in 2031 holds the cut back. With one cord less left standing then, the whole plan "
        "would give 1.0 "
        "cord more.",
    ),
    (
        {"key": "binds", "limit": "frozen", "year": 2026, "step_yr": 1, "price": 1.0},
        "All days of work on frozen ground in winter 2026–27 are used. With one day more, the whole plan "
        "would give 1.0 "
        "cord more.",
    ),
    ({"key": "caution", "of": "x", "text": "{miles} miles", "miles": 3.24}, "3.2 miles"),
    (
        {"key": "caution", "of": "x", "text": "{radius} ft, {acres} acres", "radius": 99.6, "acres": 0.72},
        "100 ft, 0.7 acres",
    ),
    ({"key": "done", "kind": "firewood", "number": 3.5}, "3.5 cords of firewood cut"),
    ({"key": "done", "kind": "sawlog", "number": 1.0}, "sawlogs cut on 1 day"),
    ({"key": "done", "kind": "sawlog", "number": 2.0}, "sawlogs cut on 2 days"),
    ({"key": "done", "kind": "post", "number": 1.0}, "1 post cut"),
    ({"key": "done", "kind": "pole", "number": 8.0}, "8 poles cut"),
    ({"key": "done", "kind": "deer", "number": 2.0}, "2 deer taken"),
    ({"key": "cruised", "stands": ("7",)}, "plots in stand 7"),
    ({"key": "cruised", "stands": ("7", "9")}, "plots in stands 7, 9"),
    ({"key": "dead trees", "line": "4"}, "Line 4: dead trees, not taken from what lives."),
    ({"key": "other unit", "line": "4", "unit": ""}, "Line 4: not taken out; its unit is missing."),
    ({"key": "heading torn"}, "the heading is torn; the lines are read in their usual order"),
    ({"key": "line torn", "cells": 0, "of": 15}, "torn: it cannot be read; kept in the file, not counted"),
    (
        {"key": "line torn", "cells": 3, "of": 15},
        "torn: only the first 3 of 15 cells are there; kept in the file, not counted",
    ),
    ({"key": "no check"}, "has no check: typed by hand, or its last letters are torn off; counted"),
    ({"key": "line changed"}, "was changed after it was written; counted as it stands now"),
    ({"key": "line again", "row": 3}, "is row 3 again, word for word; counted once"),
    ({"key": "lines gone", "numbers": (2,), "more": 0}, "line 2 is not there any more; look for it in an older copy"),
    (
        {"key": "lines gone", "numbers": (2, 3), "more": 4},
        "line 2, 3 and 4 more are not there any more; look for it in an older copy",
    ),
    ({"key": "number twice", "number": 7, "row": 3}, "bears the number 7, as row 3 does; both count"),
    (
        {"key": "replaces two", "number": 7},
        "replaces line 7, which two lines bear, so neither is taken out; give one of them another number by hand",
    ),
    ({"key": "more such lines", "number": 14}, "the same is so of 14 more lines from here on"),
]


@pytest.mark.parametrize(("facts", "sentence"), SAID, ids=[f"{n} {one['key']}" for n, (one, _) in enumerate(SAID)])
def test_a_reason_of_the_plan_word_for_word(facts, sentence):
    """The key and its facts, and the sentence that people read."""
    facts = dict(facts)
    assert said(Reason(facts.pop("key"), tuple(facts.items()))) == sentence


def test_every_reason_of_the_plan_is_among_them():
    """No key without its sentence above."""
    assert {facts["key"] for facts, _ in SAID} == set(plan_reasons.WORDS)


STAND = {
    "why": reason("at most", cords=4.0, ceiling="growth"),
    "left_out": reason("left out", strip_ac=2.0, waters=("Otter Lake",), steep_ac=0.0),
    "may": True,
    "any_cover": False,
    "way": "thin",
    "this_winter": True,
    "this_winter_cords": 8.0,
    "this_winter_ac": 0.85,
    "ceiling_cords_per_yr": 4.0,
    "leave_sqft_per_ac": 80.0,
    "next_year": 2026,
}
YEARS = "Over the years 4.0 cords a year at most, full cords. The smallest of three ceilings is what it grows."
LEFT = "2.0 acres along Otter Lake are left out."


@pytest.mark.parametrize(
    ("other", "sentence"),
    [
        (
            {},
            f"This winter: up to 8.0 cords. Thin 0.8 acres of it, and leave 80 sq ft an acre. {YEARS} While other "
            f"stands "
            f"are left alone, more may come from here. {LEFT}",
        ),
        (
            {"this_winter_cords": 4.0, "any_cover": True, "left_out": None},
            "This winter: up to 4.0 cords. Thin 0.8 acres of it, and leave 80 sq ft an acre. Its cover is not "
            "known, so "
            f"the rule for any other cover is used: write its cover first. {YEARS}",
        ),
        (
            {"way": "patches", "this_winter_cords": 3.0},
            f"This winter: up to 3.0 cords. Cut 0.8 acres of it in one patch: it comes back in full light only. "
            f"{YEARS} {LEFT}",
        ),
        ({"this_winter": False, "next_year": 2031}, f"Nothing this winter. Next: winter 2031–32. {LEFT}"),
        (
            {"this_winter": False, "next_year": None},
            f"Nothing this winter, nor in the years of this plan. Other stands come first. {LEFT}",
        ),
        (
            {"this_winter": False, "next_year": None, "any_cover": True},
            f"Nothing this winter, nor in the years of this plan. Other stands come first. {LEFT} Its cover is "
            f"not known, "
            "so the rule for any other cover is used: write its cover first.",
        ),
        (
            {"this_winter": False, "next_year": None, "why": reason("below stocking"), "may": False},
            "Nothing this winter. It is below the stocking it should keep.",
        ),
    ],
)
def test_a_stand_word_for_word(other, sentence):
    """Cut this winter or later or not at all; what is left out where it may be cut; its rule where its "
    "cover is not known.
    """
    assert cut.stand_words(STAND | other) == sentence


JOB = {
    "stand_id": "8",
    "acres": 0.85,
    "cords": 7.97,
    "bdft": 916.0,
    "days": 8.0,
    "way": "thin",
    "leave_sqft_per_ac": 80.0,
    "leave_seen": "read",
    "trees": pd.DataFrame({"cut": [40.2, 7.5]}),
    "keep": (),
    "months": "November to March",
    "months_why": "",
    "cautions": (),
    "miles_from_home": 3.24,
    "ft_from_road": 0.4,
    "left_out": reason("left out", strip_ac=2.0, waters=("Otter Lake",), steep_ac=0.0),
    "any_cover": True,
}


def test_a_job_word_for_word():
    """Cords, logs from 50 board feet on, trees, days, months, how far; nothing where it is not known."""
    start = "Stand 8: 8.0 cords from 0.8 acres"
    end = "about 48 trees, 8.0 days of work. November to March."
    rule = "Its cover is not known, so the rule for any other cover is used: write its cover first."
    logs = ", 920 board feet of it in logs"
    assert cut.job_words(Job(**JOB)) == f"{start}{logs}; {end} 3.2 miles from home. Along the road. {LEFT} {rule}"
    near = {"miles_from_home": 0.0, "ft_from_road": 1.0, "left_out": None, "any_cover": False, "bdft": 49.9}
    assert cut.job_words(Job(**JOB | near)) == f"{start}; {end} 1 foot from the road."
    unknown = {"miles_from_home": None, "ft_from_road": None, "left_out": None, "any_cover": False, "bdft": 50.0}
    assert cut.job_words(Job(**JOB | unknown)) == f"{start}, 50 board feet of it in logs; {end}"


def test_what_may_be_cut_in_all_word_for_word():
    """With and without a limit; a search that ended early is said before the findings."""
    assert cut.headline(38.6, False) == "At most 39 full cords a year, the lower end of what these ceilings allow."
    none = "Nothing this year. No stand here is over the stocking it should keep and measured well enough."
    assert cut.headline(0.0, True) == f"{none} {cut.STOPPED}"
    low = (
        "The low end of the smallest of three ceilings: what grows, a share of the acres each year, and what leads to "
    )
    assert cut.limit_words(1.0, True, ["One.", "Two."]) == f"{low}the stock to keep. {cut.STOPPED} One. Two."
    assert cut.limit_words(0.0, False, []) == "Nothing may be cut this year."


def test_marks_and_kinds_of_trees_word_for_word():
    """Basal area with the mark of memory; kinds of which none is taken are left out."""
    marks = [cut.keep_words(leave, seen) for leave, seen in ((80.0, "read"), (119.6, "memory"), (None, "chosen"))]
    assert marks == ["80", "120 †", ""]
    trees = [("red maple", "take 1 of 8"), ("sugar maple", "leave all"), ("quaking aspen", "take all")]
    assert cut.kinds_words(trees) == "red maple (1 of 8), quaking aspen (all)"


GROWN = {"way": "stand table", "bare": False, "young": False, "seasons": 5, "later": False}
GROWN |= {"cut_cords": 0.0, "twice": 0, "cores": 0}


@pytest.mark.parametrize(
    ("other", "sentence"),
    [
        ({"way": "none"}, "No plots yet."),
        (
            {"bare": True},
            "No living tree of 5 inches stood on its plots: not enough measured to say what grows.",
        ),
        ({"young": True}, "Its trees are too small to measure: what stands there is told from its age."),
        ({}, "Grown 5 seasons since its plots. No cores: growth is a published rate."),
        (
            {"seasons": 1, "cut_cords": 3.54, "cores": 1},
            "Grown 1 season since its plots. 3.5 cords cut since were taken out. 1 core stands behind its growth.",
        ),
        ({"seasons": 0, "cores": 7}, "Measured this season. 7 cores stand behind its growth."),
        (
            {"seasons": 0, "later": True, "cores": 3, "twice": 1},
            "Its plots were measured after this day. 2 cores and 1 tree measured twice stand behind its growth.",
        ),
        ({"cores": 2, "twice": 2}, "Grown 5 seasons since its plots. 2 trees measured twice stand behind its growth."),
    ],
)
def test_a_stand_since_its_plots_word_for_word(other, sentence):
    """Without plots, bare, too young, grown, cut and measured again."""
    assert cut.since_plots_words(GROWN | other) == sentence


def test_figures_from_memory_word_for_word():
    """Kinds of trees first, then the curves that are used; nothing where all was read."""
    assert cut.memory_words([], {"stand table"}) == []
    assert cut.memory_words(["balsam fir", "white ash"], {"aspen", "pine"}) == [
        "From memory (m): growth of balsam fir, white ash; cores of your own take its place.",
        "From memory (m): the growth equation of pine, and the site curve it stands on.",
        "From memory (m): the stocking of full aspen, and the site curve it stands on.",
    ]


def test_a_period_by_the_year_in_which_it_begins():
    """A winter by both its years, over a century too; five years by the first and the last."""
    assert words.period(2099, 1) == "in winter 2099–00" and words.period(2031, 5) == "in 2031 to 2035"
