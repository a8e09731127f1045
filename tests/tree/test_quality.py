"""Words on a tree: letters, spellings, and what several words together allow."""

import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.species import spaced
from woodlot.tree.quality import KEPT, NOT_BY_HAND, letters, limits, spellings, words_in

BASE = shipped("base")


def judged(*cells, species="sugar maple"):
    """What the words of each cell allow."""
    return limits(pd.DataFrame({"quality": list(cells), "species": species}), region=BASE)


def test_no_letter_and_no_spelling_means_two_words():
    """Each letter stands once; each spelling stands once and is no letter and no word of another row."""
    rows = BASE.table("tree_words").dropna(subset=["word"])
    marks = rows["letter"].dropna()
    assert marks.is_unique and marks.str.fullmatch("[A-Z]").all()
    spelled = [spaced(one) for text in rows["also"].dropna() for one in text.split(";")]
    assert len(spelled) == len(set(spelled))
    assert not set(spelled) & {*rows["word"], *marks.str.lower()}


def test_what_people_cannot_read_as_unmeasured_is_no_letter():
    """An x or a dot in a cell says that nobody judged the tree; no word has such a letter."""
    assert not {"X", "-", "?"} & set(letters(region=BASE))


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("C", ("crop",)),
        ("r, p", ("at risk", "poor form")),
        ("Frost-crack;CONK", ("seam", "rot")),
        ("hollow butt", ("butt rot",)),
        ("old fence , nail", ("wire",)),
        ("den tree", ("den",)),
        ("line tree", ("keep",)),
        ("good growing stock", ("good",)),
        ("q; Blown down; uprooted", ("windthrown",)),
        (" , ;", ()),
        (None, ()),
    ],
)
def test_letters_words_and_spellings_are_read(cell, words):
    """Letters in either case, words, other spellings; commas and semicolons part them, a word twice counts once."""
    assert words_in(cell, spellings(region=BASE)) == (words, ())


def test_a_word_nobody_knows_is_handed_back_as_written():
    """What is not known is not left out silently."""
    assert words_in("crok; Crop", spellings(region=BASE)) == (("crop",), ("crok",))


def test_the_letters_begin_with_what_goes_first_and_end_with_what_no_hand_fells():
    """A sheet lists what dies first and what only a professional fells last; a dying ash has no letter of its own."""
    listed = list(letters(region=BASE).values())
    assert set(listed[:3]) == {"dying", "at risk", "windthrown"} and "dying ash" not in listed
    assert set(listed[-5:]) == {"hollow", "dead", "hung", "leaning", "broken"}


def test_the_strictest_of_several_words_rules():
    """Crook and sweep by the table: 8 ft, grade 3, .85 x .9 of the scale; the first order; kept and danger beat all."""
    both = judged("S, Z").iloc[0]
    assert (both["longest_log_ft"], both["best_grade"]) == (8, 3)
    assert both["scale_left_share"] == pytest.approx(0.85 * 0.9)
    assert judged("crop, at risk")["never"].tolist() == [KEPT]
    assert judged("crop, leaner")["never"].tolist() == [NOT_BY_HAND]
    assert judged("G", "", "P")["order"].tolist() == [6, 5, 2]


def test_a_dying_ash_is_as_dead_and_other_dying_trees_are_not():
    """Ash that is dying or at risk is not for hand felling; a fir at risk goes first."""
    assert judged("dying", "at risk", "P", species="white ash")["never"].tolist() == [NOT_BY_HAND, NOT_BY_HAND, ""]
    fir = judged("at risk", species="balsam fir").iloc[0]
    assert (fir["never"], fir["order"]) == ("", 1)
    assert judged("at risk", species="white ash")["words"].tolist() == ["dying ash; at risk"]
