"""What is said of the cut, word for word: each reason of the plan, a stand, a job, and the woods behind them."""

from dataclasses import replace

import pandas as pd
import pytest

from woodlot.estimate import Estimate, Number, Reason, reason
from woodlot.plan.done import ticked
from woodlot.plan.job import Job
from woodlot.plan.labor import Pace
from woodlot.plan.level_cut import LevelCut
from woodlot.say import cut, cut_rule, plan_reasons, words
from woodlot.say.reasons import said

NONE = "no acre that may be cut gives half of one. Where you know such trees, put them in the tally."
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
    (
        {"key": "left out", "strip_ac": 0.0, "waters": (), "steep_ac": 0.5, "wished": (("never cut", 3.2, None),)},
        "3.2 acres never cut by your wish and 0.5 acres too steep for skidding are left out.",
    ),
    (
        {"key": "shut by wish", "wished": (("never cut", 3.2, None), ("keep", 1.0, 2030))},
        "Nothing is to be cut here: never cut and kept until 2030, your wish.",
    ),
    (
        {"key": "patches in view"},
        "Nothing is to be cut here: it comes back in patches only, and you wish a view.",
    ),
    ({"key": "kept by wish", "wish": "leave dead trees"}, "every standing dead tree, your wish"),
    (
        {"key": "kept by wish", "wish": "sugarbush"},
        "sound maples with wide, deep crowns, and take what crowds them (sugarbush)",
    ),
    ({"key": "nothing may be cut"}, "nothing may be cut here now"),
    ({"key": "published growth"}, "without cores growth is a published rate: the range has no odds"),
    ({"key": "no range anywhere"}, "no stand has plots with wood on them"),
    ({"key": "not cut by rule", "rule": "No wood to speak of."}, "Nothing is to be cut here. No wood to speak of."),
    ({"key": "not worked"}, "Nothing this year. It is not to be worked."),
    ({"key": "no ground to work"}, "Nothing this year. All of it lies along water or on ground too steep to work."),
    ({"key": "no plot here"}, "No number yet. Nobody has put a plot here. Three plots would give a first figure."),
    ({"key": "no wood on plots"}, "Nothing this year. No wood was found on its plots."),
    (
        {
            "key": "few plots",
            "cords": 1.62,
            "plots": 1,
            "standing": Estimate(90.0, "cords", 24.0, 340.0, kind="interval", n=1),
        },
        "1.6 cords a year at most, full cords, its part of the yearly cut, but its 1 plot leaves it open what stands "
        "here (24 to 340, 90%). Take single trees, and measure before more.",
    ),
    ({"key": "below stocking"}, "Nothing this year. It is below the stocking it should keep."),
    (
        {"key": "at most", "cords": 8.66},
        "8.7 cords a year at most, full cords: its part of the yearly cut, by what stands and grows over what it is to "
        "keep.",
    ),
    (
        {"key": "cut by area", "cords": 1.0},
        "1.0 cord a year at most, full cords: it is cut by area, its acres over the rotation.",
    ),
    (
        {"key": "falling apart", "cords": 598.0},
        "It is falling apart: take what is wanted of its 600 full cords soon, or leave it. That is outside the yearly "
        "cut.",
    ),
    (
        {"key": "salvage only", "cords": 22.4, "rule": "Winter cover for deer."},
        "Winter cover for deer. About 22 full cords die or break up here: take those trees alone, outside the yearly "
        "cut.",
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
        {"key": "gives none", "each": (("lasting posts", 12.0, 1),)},
        f"Not to be had: 12 lasting posts a year; {NONE}",
    ),
    (
        {"key": "gives none", "each": (("poles", 0.4, 5),)},
        f"Not to be had: 1 pole each period; {NONE}",
    ),
    (
        {"key": "gives none", "each": (("posts 7 ft by 4 in top, lasting wood", 12.0, 0), ("poles 9 ft", 1.0, 0))},
        f"Not to be had: 12 posts 7 ft by 4 in top, lasting wood and 1 pole 9 ft in all; {NONE}",
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
        {"key": "in the way", "of": "posts", "limits": (), "step_yr": 1, "least_entry_cords": 0.5, "shut": ()},
        "Whole entries are in the way: smaller ones would give it.",
    ),
    (
        {
            "key": "in the way",
            "of": "firewood",
            "limits": (("work", 4.0, 0.0, 33.1), ("entry", 2.5, 1.5, 0.0), ("neighbors", 1.0, 3.0, 0.0)),
            "step_yr": 5,
            "least_entry_cords": 0.5,
            "shut": (("below stocking", 3.0),),
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
            "shut": (),
        },
        "In the way: the days of work on frozen ground (without it 2 posts fewer), what may be cut each year "
        "(without it "
        "1 post fewer), what must stand at the end (without it 1 post fewer), what must stand in every year "
        "(without it "
        "1 post fewer).",
    ),
    (
        {
            "key": "in the way",
            "of": "firewood",
            "limits": (("work+entry", 4.0, 2.0, 33.1), ("woods", 0.0, 2.0, 0.0)),
            "step_yr": 1,
            "least_entry_cords": 0.4,
            "shut": (("below stocking", 12.0), ("no plot here", 1.0), ("what else", 0.5)),
        },
        "In the way: the days of work together with the least entry of 0.40 cords (without them 4.0 cords less). 2.0 "
        "cords of it are not in the woods that may be cut, whatever the limits. Not cut at all: 12.0 acres under the "
        "stocking they should keep, 1.0 acre without plots, 0.5 acres not cut.",
    ),
    (
        {
            "key": "in the way",
            "of": "posts",
            "limits": (("woods", 0.0, 2.0, 0.0),),
            "step_yr": 1,
            "least_entry_cords": 0.4,
            "shut": (),
        },
        "2 posts of it are not in the woods that may be cut, whatever the limits.",
    ),
    (
        {"key": "met", "goals": (("firewood", 35.0, 5, None), ("poles", 20.0, 5, None), ("posts", 200.0, 0, None))},
        "What is wanted is met throughout: 35 cords of firewood, 20 poles each period; 200 posts in all.",
    ),
    (
        {"key": "met", "goals": (("poles", 4.0, 0, None),), "beside": ("tally", "made")},
        "With what the tally gives and what is cut already, what is wanted is met throughout: 4 poles in all.",
    ),
    (
        {"key": "met", "goals": (("poles", 4.0, 0, None),), "rest": True},
        "The rest is met throughout: 4 poles in all.",
    ),
    (
        {"key": "met", "goals": (("firewood", 7.0, 1, 20.0),), "beside": ()},
        "What is wanted is met throughout: heat of 140 million Btu (7.0 cords of the wood that may be cut) a year.",
    ),
    (
        {
            "key": "cannot be had",
            "of": "firewood",
            "number": 2.0,
            "years": (),
            "step_yr": 1,
            "mmbtu_per_cord": 20.5,
        },
        "41 million Btu (2.0 cords of the wood that may be cut) of the heat wanted cannot be had (every winter).",
    ),
    (
        {"key": "nothing asked", "cords": 21.4, "salvage": ()},
        "Nothing is asked of these woods, and nothing need be cut. They could give 21 cords a year; write what you "
        "want under [needs], or see all of it with cut --more.",
    ),
    (
        {"key": "nothing asked", "cords": 0.0, "salvage": ("15",)},
        "Nothing is asked of these woods, and nothing need be cut. In stand 15 trees die or break up: that wood is "
        "lost if nobody takes it.",
    ),
    (
        {"key": "nothing asked", "cords": 21.4, "salvage": ("15", "19")},
        "Nothing is asked of these woods, and nothing need be cut. They could give 21 cords a year; write what you "
        "want under [needs], or see all of it with cut --more. In stands 15 and 19 trees die or break up: that wood is "
        "lost if nobody takes it.",
    ),
    (
        {"key": "not needed"},
        "Nothing this winter, nor in the years of this plan. What is wanted comes from other stands.",
    ),
    ({"key": "not in this plan"}, "Nothing this winter, nor in the years of this plan. Other stands come first."),
    (
        {"key": "held back", "limits": ("work+cut", "cut", "entry")},
        "Nothing this winter, nor in the years of this plan. What holds it back: the days of work, what may be cut "
        "each year and the least entry.",
    ),
    (
        {"key": "too young", "year": 2031, "least_yr": 35.0},
        "Nothing this winter. It is too young to cut before 2031: 35 years are the least.",
    ),
    (
        {"key": "logs come with it", "bdft": 9_312.0, "years": 10},
        "With it come 9,300 board feet of logs in 10 years: they go to the pile, not to the stove.",
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
    *(
        (
            {"key": "wish broken", "line": 31, "kind": kind, "amount": much, "unit": unit, "where": of, "wish": wish},
            f"Line 31 notes {words}.",
        )
        for kind, much, unit, of, wish, words in (
            (
                *("firewood", 4.0, "cord", ("stand", "9"), "never cut"),
                "4 cords of firewood cut in stand 9, which is never cut by your wish",
            ),
            (
                *("sawlog", 300.0, "bdft_scribner", ("parcel", "lake"), "keep"),
                "sawlogs (300 board feet, Scribner rule) cut in parcel lake, which you keep uncut for now",
            ),
            ("post", 1.0, "piece", (), "never cut", "1 post cut on ground which is never cut by your wish"),
            (
                "pole",
                None,
                "",
                ("stand", "9"),
                "leave dead trees",
                "poles cut in stand 9, where dead trees stay by your wish",
            ),
        )
    ),
    ({"key": "dead trees", "line": "4"}, "Line 4: dead trees, not taken from what lives."),
    ({"key": "other unit", "line": "4", "unit": ""}, "Line 4: not taken out; its unit is missing."),
    ({"key": "heading torn"}, "the heading is torn; the lines are read in their usual order"),
    (
        {"key": "other columns", "names": ("mine", "column 7")},
        "not read, since a ledger has no such column: mine, column 7",
    ),
    ({"key": "line torn", "cells": 0, "of": 15}, "torn: it cannot be read; kept in the file, not counted"),
    (
        {"key": "line torn", "cells": 3, "of": 15},
        "torn: only the first 3 of 15 cells are there; kept in the file, not counted",
    ),
    ({"key": "no check", "more": 0}, "has no check: typed by hand, or its last letters are torn off; counted"),
    (
        {"key": "no check", "more": 3},
        "has no check: typed by hand, or its last letters are torn off; counted; so it is with 3 more lines",
    ),
    (
        {"key": "no ids", "number": 1},
        "the column id is not there, so the line that set another right no longer acts: both count; "
        "put the column back from an older copy",
    ),
    (
        {"key": "no ids", "number": 2},
        "the column id is not there, so 2 lines that set another right no longer act: both count; "
        "put the column back from an older copy",
    ),
    ({"key": "own id", "more": 0}, "has the id back with which it was written, as its check proves"),
    (
        {"key": "own id", "more": 1},
        "has the id back with which it was written, as its check proves; so it is with 1 more line",
    ),
    ({"key": "line changed"}, "was changed after it was written; counted as it stands now"),
    ({"key": "id twice", "row": 3}, "has the id of row 3 and says something else; counted as a line of its own"),
    ({"key": "line again", "row": 3}, "is row 3 again, word for word; counted once"),
    ({"key": "lines gone", "numbers": (2,), "more": 0}, "line 2 is not there any more; look for it in an older copy"),
    (
        {"key": "lines gone", "numbers": (2, 3), "more": 4},
        "line 2, 3 and 4 more are not there any more; look for it in an older copy",
    ),
    ({"key": "number twice", "number": 7, "row": 3}, "bears the number 7, as row 3 does; both count"),
    (
        {"key": "replaces two", "number": 7},
        "replaces line 7, which two lines bear, so neither is taken out; take out the wrong one by the first "
        "letters of its id",
    ),
    ({"key": "replaces none", "line": "4", "named": "9"}, "line 4 replaces 9, and no line is named so"),
    (
        {"key": "no seal", "seal": "ledger.seal"},
        "ledger.seal, by which a line that goes missing is noticed, is not there; the next note makes it anew",
    ),
    (
        {"key": "lines altered", "numbers": ("3",), "more": 0},
        "line 3 is not as it was written, and its check was made to fit; counted as it stands now",
    ),
    (
        {"key": "lines altered", "numbers": ("3", "4"), "more": 2},
        "line 3, 4 and 2 more are not as it was written, and its check was made to fit; counted as it stands now",
    ),
    ({"key": "not sealed", "system": "No room"}, "could not be written (No room); it is made up at the next note"),
    (
        {"key": "written anew", "kept": "ledger.before.csv"},
        "was written anew, each line with an id; as it was it is kept as ledger.before.csv",
    ),
    (
        {"key": "lines lost", "each": (("3", "2026-01-17", "firewood", "bcdf"),), "more": 0, "whole": False},
        "written once, and not there any more: line 3, firewood of 2026-01-17 (bcdf). Look in an older copy, or take "
        "one out for good with `woodlot note --void bcdf`",
    ),
    (
        {"key": "lines lost", "each": (("3", "2026-01-17", "firewood", "bcdf"),), "more": 2, "whole": True},
        "the file is gone, and with it line 3, firewood of 2026-01-17 (bcdf); and 2 more lines. Look in an older copy, "
        "or take one out for good with `woodlot note --void bcdf`",
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
    "why": reason("at most", cords=4.0),
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
    "salvage": False,
    "why_not": None,
    "patch_least_ac": float("nan"),
    "patch_most_ac": float("nan"),
}
YEARS = (
    "Over the years 4.0 cords a year at most, full cords: its part of the yearly cut, by what stands and grows over "
    "what it is to keep."
)
LEFT = "2.0 acres along Otter Lake are left out."


@pytest.mark.parametrize(
    ("other", "sentence"),
    [
        (
            {},
            f"This winter: up to 8.0 cords. Thin 3/4 acre of it, and leave 80 sq ft an acre. {YEARS} While other "
            f"stands "
            f"are left alone, more may come from here. {LEFT}",
        ),
        (
            {"this_winter_cords": 4.0, "any_cover": True, "left_out": None},
            "This winter: up to 4.0 cords. Thin 3/4 acre of it, and leave 80 sq ft an acre. Its cover is not "
            "known, so "
            f"the rule for any other cover is used: write its cover first. {YEARS}",
        ),
        (
            {"way": "patches", "this_winter_cords": 3.0},
            f"This winter: up to 3.0 cords. Cut 3/4 acre of it in one patch: it comes back in full light only. "
            f"{YEARS} {LEFT}",
        ),
        (
            {"way": "patches", "this_winter_cords": 3.0, "patch_least_ac": 0.1, "patch_most_ac": 0.5, "salvage": True},
            f"This winter: up to 3.0 cords. Cut 3/4 acre of it in 2 patches of 1/2 acre at most: it comes back in full "
            f"light only. {cut.SALVAGE} {YEARS} {LEFT}",
        ),
        (
            {
                "way": "patches",
                "this_winter_cords": 3.0,
                "this_winter_ac": 0.051,
                "patch_least_ac": 0.1,
                "patch_most_ac": 0.5,
            },
            f"This winter: up to 3.0 cords. Cut 1/20 acre of it in one patch that is widened each winter to 1/2 acre: "
            f"it comes back in full light only. {YEARS} {LEFT}",
        ),
        ({"this_winter": False, "next_year": 2031}, f"Nothing this winter. Next: winter 2031–32. {LEFT}"),
        (
            {"this_winter": False, "next_year": None, "why_not": reason("not in this plan"), "salvage": True},
            f"Nothing this winter, nor in the years of this plan. Other stands come first. {LEFT}",
        ),
        (
            {"this_winter": False, "next_year": None, "any_cover": True, "why_not": reason("not in this plan")},
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


@pytest.mark.parametrize(
    ("other", "sentence"),
    [
        (
            {"left_out": None},
            "This winter: up to 8.0 cords to go; 3.5 cords cut. Thin 3/4 acre of it, and leave 80 sq ft an acre. "
            f"{YEARS} While other stands are left alone, more may come from here.",
        ),
        ({"this_winter": False, "next_year": 2031}, f"Done this winter: 3.5 cords cut. Next: winter 2031–32. {LEFT}"),
        (
            {"this_winter": False, "next_year": None, "left_out": None, "why_not": reason("not in this plan")},
            "Done this winter: 3.5 cords cut. Nothing more this winter, nor in the years of this plan. Other stands "
            "come first.",
        ),
        (
            {"this_winter": False, "next_year": None, "why": reason("below stocking"), "may": False},
            "Done this winter: 3.5 cords cut. Nothing more. It is below the stocking it should keep.",
        ),
    ],
)
def test_a_stand_in_which_some_is_cut_already_word_for_word(other, sentence):
    """To go beside what was cut; done where no more is to be cut this winter."""
    assert cut.stand_words(STAND | other, 3.5) == sentence


JOB = {
    "stand_id": "8",
    "acres": 0.85,
    "cords": 7.97,
    "stove_cords": 7.03,
    "heat_mmbtu": 140.0,
    "bdft": 916.0,
    "days": 8.0,
    "hours": 48.0,
    "winters": 1,
    "job_acres": 0.85,
    "way": "thin",
    "leave_sqft_per_ac": 80.0,
    "leave_seen": "read",
    "trees": pd.DataFrame({"cut": [40.2, 7.5]}),
    "marking": None,
    "keep": (),
    "after": (),
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
    start, of = "Stand 8: 7.0 cords for the stove", " from 3/4 acre"
    end = "about 48 trees, 8.0 days of work. November to March."
    rule = "Its cover is not known, so the rule for any other cover is used: write its cover first."
    logs = " and 920 board feet in logs"
    assert cut.job_words(Job(**JOB)) == f"{start}{logs}{of}; {end} 3.2 miles from home. Along the road. {LEFT} {rule}"
    near = {"miles_from_home": 0.0, "ft_from_road": 1.0, "left_out": None, "any_cover": False, "bdft": 49.9}
    assert cut.job_words(Job(**JOB | near)) == f"{start}{of}; {end} 1 foot from the road."
    some = "4.5 cords of wood planned, 2.0 cut, 2.5 to go; 5.0 of 9.0 days left."
    assert cut.job_words(Job(**JOB | near), ticked(2.5, 5.0, 2.0)) == f"{start}{of}; {end} {some} 1 foot from the road."
    unknown = {"miles_from_home": None, "ft_from_road": None, "left_out": None, "any_cover": False, "bdft": 50.0}
    assert cut.job_words(Job(**JOB | unknown)) == f"{start} and 50 board feet in logs{of}; {end}"
    more = {"winters": 8, "job_acres": 6.02}
    goes_on = "One job of 8 winters, 6.0 acres in all: work from the road inward, and go over no acre twice."
    assert cut.job_words(Job(**JOB | unknown | more)) == f"{start} and 50 board feet in logs{of}; {end} {goes_on}"


def test_a_job_of_several_winters_is_told_once_word_for_word():
    """Stand 8, an acre share and the cords of each winter; one winter alone without "a winter"."""
    row = {"stand_id": "8", "first_winter": 2026, "last_winter": 2033, "winters": 8, "acres_a_winter": 0.753}
    row |= {"stove_cords_a_winter": 7.0, "days_a_winter": 9.34}
    assert cut.work_words(row) == (
        "stand 8, 3/4 acre a winter, 8 winters (2026–27 to 2033–34), 7.0 cords for the stove each, 9.3 days a winter"
    )
    one = row | {"last_winter": 2026, "winters": 1, "acres_a_winter": 2.1}
    assert cut.work_words(one) == "stand 8, 2.1 acres, winter 2026–27, 7.0 cords for the stove, 9.3 days"


def test_whose_pace_the_days_are_told_by_word_for_word():
    """The published pace, or the family's own."""
    end = "hours for a cord from stump to stack, more with the way to the road."
    assert cut.pace_words(Pace(8.0, False), 6.0) == (
        f"Days are of one person, 6 hours each, at a published pace: 8.0 {end}"
    )
    assert cut.pace_words(Pace(6.25, True), 5.5) == (
        f"Days are of one person, 5.5 hours each, at your own pace by the ledger: 6.2 {end}"
    )


@pytest.mark.parametrize(
    ("acres", "told"),
    [
        (0.015, "1/50 acre"),
        (0.051, "1/20 acre"),
        (0.22, "1/5 acre"),
        (0.62, "2/3 acre"),
        (0.85, "3/4 acre"),
        (0.9, "1 acre"),
        (1.04, "1 acre"),
        (1.06, "1.1 acres"),
        (6.02, "6.0 acres"),
    ],
)
def test_acres_of_a_small_job_as_people_pace_them(acres, told):
    """The nearest part of an acre by ratio; from an acre on as other acres."""
    assert words.of_an_acre(acres) == told


def test_what_may_be_cut_in_all_word_for_word():
    """With and without a limit; a search that ended early is said behind it."""
    assert cut.headline(38.6, False) == "At most 39 full cords a year, until the next cruise."
    none = "Nothing this year. No stand here has wood to spare that is measured well enough."
    assert cut.headline(0.0, True) == f"{none} {cut.STOPPED}"
    assert cut.headline(38.6, False, 170.0) == "At most 39 full cords a year, until the next cruise."
    assert cut.headline(0.0, False, 1000.0) == (
        "No cut that lasts. About 1,000 full cords die or break up: take them soon or leave them."
    )
    assert cut.limit_words("Growth holds it.", 1.0, True) == f"Growth holds it. {cut.STOPPED}"
    assert cut.limit_words("", 0.0, False) == "Nothing may be cut this year."


RULE = LevelCut(
    low_growth=40.0,
    mid_growth=73.0,
    growth_share=0.55,
    stock_cords=2000.0,
    first_cords=2000.0,
    goal_cords=1500.0,
    stock_share=0.83,
    pull_cords=8.0,
    area_cords=44.0,
    meyer_cords=90.0,
    reach_cords=60.0,
    surplus_cords=480.0,
    level_cords=44.0,
    by_area_cords=3.3,
    cords_with_ten_cores=47.3,
    binds="area",
)


@pytest.mark.parametrize(
    ("moved", "words"),
    [
        (
            {},
            "44 of it are thinned year by year, 3.3 cut by area. What holds the first is the area check: of all these "
            "stands together a third each cutting cycle.",
        ),
        (
            {"binds": "growth", "level_cords": 40.0, "pull_cords": 0.0, "by_area_cords": 0.0},
            "What holds it is growth: in nine cases of ten these stands together grow at least that much.",
        ),
        ({"binds": "growth", "pull_cords": 8.0}, "at least that much, and what stands over their goal."),
        ({"binds": "growth", "pull_cords": -8.0}, "at least that much, less what is missing."),
        ({"binds": "growth", "level_cords": 0.0}, "less what is missing to their goal, leaves nothing to cut."),
        ({"binds": "meyer"}, "are led to what they should hold in a cutting cycle."),
        ({"binds": "reach"}, "until the next cruise, over what each stand keeps."),
        ({"binds": "none"}, "All of it is cut by area: acres over the rotation."),
        ({"binds": "none", "by_area_cords": 0.0}, "No stand here has plots and may be cut year by year."),
    ],
)
def test_what_holds_the_yearly_cut_in_one_sentence(moved, words):
    """One of them, and never a sum told as another."""
    assert cut_rule.why(replace(RULE, **moved)).endswith(words)


def test_the_parts_of_the_yearly_cut_word_for_word():
    """Each beside its number, the standing surplus apart; cores, the first cruise and what dies only where they are."""
    number = Number(73.0, 33.0, 150.0, "cords a year", "assumptions")
    of = {"growth": number, "area": number, "meyer": number, "bdft": replace(number, unit="board feet a year")}
    assert cut_rule.parts(of, RULE) == (
        "Thinned year by year: 44 cords a year, the least of four",
        "1. growth: 48 cords a year. That is 40 of growth and 8.0 more, since more stands than they should hold. They "
        "grow more nine times in ten (the lower tenth); in the middle 73 cords a year (33 to 150, assumptions)",
        "2. area check: 44 cords a year (this holds it). A third of them each cutting cycle",
        "3. Meyer's: 90 cords a year. What leads them to the wood they should hold in one cycle",
        "4. over what they keep: 60 cords a year, until the next cruise. 480 cords of it stand today (the standing "
        "surplus)",
        "Cut by area: 3.3 cords a year, acres over the years one crop takes",
        "Together: 44 + 3 = 47 cords a year",
        "In boards, of all of it: 73 board feet a year (33 to 150, assumptions)",
    )
    under = cut_rule.parts(of, replace(RULE, pull_cords=-45.0, by_area_cords=0.0, binds="growth", level_cords=0.0))
    assert under[1].startswith(
        "1. growth: 0 cords a year (this holds it). That is 40 of growth and 45 less, since less"
    )
    assert len(under) == 6
    assert [line for line in cut_rule.parts(of, RULE) if "this holds it" in line] == [cut_rule.parts(of, RULE)[2]]
    even = cut_rule.parts(of, replace(RULE, pull_cords=0.0))[1]
    assert even.startswith("1. growth: 40 cords a year. They grow more nine times in ten")
    by_area = cut_rule.parts(of, replace(RULE, binds="none", level_cords=0.0))
    assert by_area[0].startswith("Cut by area: 3.3") and len(by_area) == 2
    nothing = cut_rule.parts(of, replace(RULE, binds="none", level_cords=0.0, by_area_cords=0.0))
    assert nothing[0] == "No stand here has plots and may be cut year by year"
    unknown = cut_rule.parts(of | {"growth": Number(None, None, None)}, RULE)
    assert [line.split(":")[0] for line in unknown] == ["area check", "Meyer's", "in boards"]
    assert cut_rule.each(of)[0] == "growth: 73 cords a year (33 to 150, assumptions)" and len(cut_rule.each(of)) == 4
    assert cut_rule.with_cores(RULE) == "" == cut_rule.first_seen(RULE) == cut_rule.beside({})
    assert cut_rule.with_cores(replace(RULE, cords_with_ten_cores=60.0)) == (
        "Ten cores would make it 60 cords a year, if they find what was assumed; they may find less."
    )
    assert cut_rule.first_seen(replace(RULE, first_cords=2400.0)) == (
        "The first cruise saw 2,400 cords in these stands, now there are 2,000 cords."
    )
    assert cut_rule.beside({"15": 598.0, "19": 60.0}) == (
        "Outside it: about 660 full cords that die or break up in stands 15 and 19: take them soon or leave them. They "
        "are in no lasting cut."
    )
    assert cut_rule.asked((("oak", 60.0, 12.0, 100.0, 4.0),))[0].startswith(
        "How dense to keep oak is yours to say: at 60 sq ft an acre 12 cords a year in all, at 100 4.0 cords"
    )


@pytest.mark.parametrize(
    ("level", "by_area", "words"),
    [
        (76.4, 31.4, "76 + 31 = 107 cords a year, about 110"),
        (144.0, 32.0, "144 + 32 = 176 cords a year, about 180"),
        (5.26, 3.33, "5.3 + 3.3 = 8.6 cords a year"),
        (1440.0, 32.0, "1,440 + 32 = 1,472 cords a year, about 1,500"),
    ],
)
def test_both_parts_add_up_as_they_are_printed(level, by_area, words):
    """So fine that anyone who adds them up gets the sum, and the headline's two figures beside it where they differ."""
    of = dict.fromkeys(("growth", "area", "meyer", "bdft"), Number(73.0, 33.0, 150.0, "cords a year", "assumptions"))
    told = cut_rule.parts(of, replace(RULE, level_cords=level, by_area_cords=by_area))
    assert f"Together: {words}" in told


def test_marks_and_kinds_of_trees_word_for_word():
    """Basal area with the mark of memory; kinds of which none is taken are left out."""
    marks = [cut.keep_words(leave, seen) for leave, seen in ((80.0, "read"), (119.6, "memory"), (None, "chosen"))]
    assert marks == ["80", "120 †", ""]
    trees = [("red maple", "take 1 of 8"), ("sugar maple", "leave all"), ("quaking aspen", "take all")]
    assert cut.kinds_words(trees) == "red maple (1 of 8), quaking aspen (all)"


GROWN = {"way": "stand table", "bare": False, "young": False, "seasons": 5, "later": False}
GROWN |= {"cut_cords": 0.0, "twice": 0, "cores": 0, "soil": None, "site_by": "", "held": False}
GROWN |= {"default_pct": 3.79, "growth_pct": 3.79, "band_low_pct": 1.2, "band_high_pct": 3.0}


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
        (
            {"soil": "dry sand", "site_by": "soil", "held": True, "growth_pct": 2.62},
            "Grown 5 seasons since its plots. No cores: growth is a published rate. Its ground, dry sand, is in the "
            "rate. The default of 3.8% a year is held down to 2.6%, as published woods of its cover and size grow "
            "1.2 to 3%.",
        ),
        (
            {"site_by": "site index", "held": True, "growth_pct": 3.76},
            "Grown 5 seasons since its plots. No cores: growth is a published rate. Its site index is in the rate.",
        ),
        (
            {"way": "pine", "site_by": "site index"},
            "Grown 5 seasons since its plots. No cores: growth is a published rate.",
        ),
    ],
)
def test_a_stand_since_its_plots_word_for_word(other, sentence):
    """Without plots, bare, too young, grown, cut and measured again."""
    assert cut.since_plots_words(GROWN | other) == sentence


def test_figures_from_memory_word_for_word():
    """Kinds of trees first, then ways of growing, then the site curves that are used; nothing where all was read."""
    assert cut.memory_words([], {"stand table"}, []) == []
    curves = [("eastern white pine", "lake states 1957", "read 2nd-hand"), ("quaking aspen", "lake states", "memory")]
    assert cut.memory_words(["balsam fir", "white ash"], {"aspen", "pine"}, curves) == [
        "From memory (m): growth of balsam fir, white ash; cores of your own take its place.",
        "From memory (m): the growth equation of pine.",
        "From memory (m): the stocking of full aspen.",
        "Heights by age: site curve of eastern white pine (lake states 1957), read 2nd-hand.",
        "Heights by age: site curve of quaking aspen (lake states), from memory (m).",
    ]


def test_a_period_by_the_year_in_which_it_begins():
    """A winter by both its years, over a century too; five years by the first and the last."""
    assert words.period(2099, 1) == "in winter 2099–00" and words.period(2031, 5) == "in 2031 to 2035"
