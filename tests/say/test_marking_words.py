"""What is said of the trees of a job, word for word, and what comes after a cut."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import reason
from woodlot.plan.after_cut import after_cut
from woodlot.region import shipped
from woodlot.say.marking import WHYS, marking_lines, why_words
from woodlot.say.reasons import said
from woodlot.stand import marking
from woodlot.stand.judged import GROUPS, Judged
from woodlot.stand.marking_guide import job_marking

BASE = shipped("base")


def rows(*each):
    """Trees by why, kind and inches."""
    return pd.DataFrame(each, columns=["why", "species", "class_in", "trees"])


def job(**more):
    """A job of which only the marking is asked."""
    how = {
        "removal": rows(
            ("likely to die", "balsam fir", 8.0, 3.2),
            ("poor form", "red maple", 12.0, 0.4),
            ("spacing", "sugar maple", 10.0, 6.0),
            ("spacing", "sugar maple", 14.0, 1.0),
            ("spacing", "red maple", 12.0, 2.6),
        ),
        "apart": rows(("dying ash", "white ash", 14.0, 1.2), ("word", "sugar maple", 20.0, 0.2)),
        "crop_trees": 11.7,
        "keep_kinds": ("sugar maple", "northern red oak"),
        "judged": True,
    }
    return SimpleNamespace(marking=SimpleNamespace(**how | more), way="thin")


def test_the_order_of_removal_is_told_word_for_word():
    """What comes to less than half a tree is not told; the steps are numbered; what stands apart is no step."""
    assert marking_lines(job()) == (
        "In this order. By the words on the trees of its plots, then by kind and size.",
        "1. About 3 trees likely to die before the next cut: 3 balsam fir (8 in).",
        "2. About 10 trees to give the rest room: 7 sugar maple (10 to 14 in), 3 red maple (12 in).",
        "Free the crowns of about 12 crop trees.",
        "Keep first of all sugar maple, northern red oak.",
        "Not in this list, for people who fell for a living: About 1 tree of ash that the borer kills: 1 white ash "
        "(14 in).",
    )


def test_that_nobody_judged_the_trees_is_said():
    """Without words: by kind, size and rot; no crop tree is named, and nothing that is not there."""
    told = marking_lines(job(judged=False, crop_trees=0.0, keep_kinds=(), apart=rows()))
    assert told[0].startswith("In this order. By kind, size and rot alone: nobody wrote a word")
    assert len(told) == 3 and "crop" not in " ".join(told)


def test_many_kinds_are_cut_short_and_few_trees_of_many_are_told_so():
    """Four kinds with most trees first, then how many more; where no kind comes to half a tree that is said."""
    many = rows(*(("spacing", f"kind {n}", 10.0, 9.0 - n) for n in range(6)))
    assert marking_lines(job(removal=many))[1].endswith("6 kind 3 (10 in), and 2 more kinds.")
    few = rows(*(("spacing", f"kind {n}", 10.0, 0.3) for n in range(4)))
    assert marking_lines(job(removal=few))[1] == "1. About 1 tree to give the rest room: few of each kind."


def test_a_patch_keeps_no_kind_first_of_all():
    """Where all goes for full light, no kind is named to keep."""
    patch = job()
    patch.way = "patches"
    assert not any(line.startswith("Keep first of all") for line in marking_lines(patch))


def test_every_why_has_words():
    """Those of marking, and of a patch; several are told in their order."""
    assert set(WHYS) == {*marking.WHYS, "full light"}
    both = [reason("taken because", why=why) for why in ("poor form", "spacing")]
    assert why_words(both) == "of poor form or rotten, then to give the rest room"


def test_a_small_tree_at_risk_is_the_first_line_of_the_job():
    """A big healthy maple beside a small one at risk: the small one is line 1; unjudged, both go for room alone."""
    n = np.zeros((1, 30))
    n[0, [1, 8]] = 10.0
    shares = np.zeros((len(GROUPS), 1, 30, 1))
    shares[list(GROUPS).index("at risk"), 0, 1] = 1.0
    known = Judged(shares, *(np.zeros((1, 1), dtype=bool) for _ in range(2)), np.array([True]))
    rules, goal = marking.rules_for(["sugar maple"], region=BASE), marking.structure_for("oak", 20.0, region=BASE)
    first = {"known": "likely to die before the next cut: 10 sugar maple (8 in).", "none": "8 to 22 in)."}
    for words, end in ((known, first["known"]), (Judged.none(1, 1), first["none"])):
        how = job_marking(n, ["sugar maple"], 20.0, rules, goal, words, region=BASE)
        assert marking_lines(SimpleNamespace(marking=how, way="thin"))[1].endswith(end)


@pytest.mark.parametrize("cover", [*dict.fromkeys(BASE.table("cut_rules")["cover"])])
def test_every_cover_that_is_cut_has_what_comes_what_to_mind_and_brush(cover):
    """Three lines by each way of cutting; those from memory say so."""
    for way in {"thin", "patches"} & {*BASE.table("cut_rules")["way"]}:
        lines = after_cut(cover, way, BASE)
        assert len(lines) == 3
        for line in lines:
            facts = dict(line.facts)
            assert said(line) == facts["text"] + (" (From memory.)" if facts["seen"] == "memory" else "")


def test_a_cover_takes_its_own_lines_before_those_of_any_other():
    """Aspen comes back from its roots; oak with a structure of its own as oak; a strange cover as any other."""
    assert "roots" in said(after_cut("aspen and birch", "patches", BASE)[0])
    assert after_cut("oak, uneven-aged", "thin", BASE) == after_cut("oak", "thin", BASE)
    assert after_cut("nobody knows", "thin", BASE) == after_cut("other", "thin", BASE)
    assert after_cut("oak", "thin", BASE)[0] != after_cut("other", "thin", BASE)[0]
