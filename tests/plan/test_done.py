"""What the ledger says was done: pieces made, cords felled by stand, hours a cord, by hand."""

from datetime import date

import pandas as pd
import pytest

from woodlot.answers.cut import balance_answer
from woodlot.estimate import Estimate
from woodlot.plan import balance, done
from woodlot.region import shipped
from woodlot.say.cut import ticks_words

MAY = date(2026, 5, 1)
BASE = shipped("base")


def lines(*told: tuple) -> pd.DataFrame:
    """A ledger of (date, kind, amount, unit, text, stand)."""
    frame = pd.DataFrame(told, columns=["date", "kind", "amount", "unit", "text", "stand_id"])
    return frame.assign(line=range(1, len(told) + 1), date=pd.to_datetime(frame["date"]), corrects=None)


POSTS = lines(
    ("2026-02-11", "post", 9.0, "piece", "8 ft, peeled", "2"),
    ("2026-08-03", "post", 6.0, "piece", "cedar", "4"),
    ("2026-09-01", "given", 4.0, "piece", "posts for Ben", None),
    ("2026-09-02", "given", 2.0, "piece", "boards", None),
    ("2026-09-03", "pole", 3.0, "piece", "16 ft", "1"),
    ("2026-10-12", "sawlog", 740.0, "bdft_scribner", "oak", "12"),
    ("2026-10-13", "sawlog", 90.0, "bdft_doyle", "oak", "12"),
    ("2026-10-14", "sawlog", 5.0, "piece", "pine", "2"),
    ("2026-10-15", "firewood", 4.0, "cord", "tops", "12"),
    ("2026-10-16", "given", 0.5, "cord", "to Ben", None),
    ("2026-10-17", "chips", 8.0, "cuyd", "", "12"),
)


@pytest.mark.parametrize(
    ("product", "since", "amount"),
    [
        ("post", None, 11.0),
        ("post", MAY, 2.0),
        ("post", date(2026, 8, 4), 0.0),
        ("pole", MAY, 3.0),
        ("sawlog", MAY, 5.0),
        ("board feet", MAY, 90.0),
        ("firewood", MAY, 4.0),
        ("chips", MAY, 8.0),
    ],
)
def test_what_was_made_by_hand(product, since, amount):
    """15 posts less 4 given away; board feet of the latest rule alone; cords given away were cut all the same."""
    assert done.made(POSTS, product, since) == amount


def test_board_feet_by_the_rule_that_is_asked():
    """Two rules are never added up."""
    assert done.made(POSTS, "board feet", MAY, "scribner") == 740.0
    assert done.made(POSTS, "board feet", MAY, "international_quarter") == 0.0


def test_builds_are_counted_by_their_name():
    """Two trellises in one line, one without an amount; a garden bed is none; capitals and signs do not matter."""
    book = lines(
        ("2026-06-01", "built", 2.0, "build", "Trellises, by the south wall", None),
        ("2026-06-08", "built", None, None, "a bean-trellis", None),
        ("2026-06-09", "built", 1.0, "build", "raised bed", None),
        ("2026-06-10", "seen", None, None, "trellis leaning", None),
    )
    assert done.built(book, "Trellis", MAY) == 3.0 and done.built(book, "raised bed", MAY) == 1.0
    assert done.built(book, "trellis", date(2026, 6, 2)) == 1.0 and done.built(book, "coop", MAY) == 0.0


def test_posts_poles_and_logs_are_cords_of_stem():
    """The line post: 4 in at the top, 8 at the butt (midway to 12), 8 ft long, the later of two: (16 + 32 + 64) / 3 =
    37.333, times 0.005454154 x 8 = 1.6290 cubic feet; the pole 4 and 6.5 in, 16 ft: 28.083, 2.4507. 79 cubic feet a
    cord. Two logs of 100 board feet in .5 cord give .0025 a foot; dead trees and other rules do not count.
    """
    trees = pd.DataFrame(
        {"bdft": [100.0, 100.0, 50.0, 0.0], "cords": [0.2, 0.3, 9.0, 1.0], "alive": [True, True, False, True]}
    )
    by = done.rates(trees, "scribner", 79.0, region=BASE)
    assert by["", "bdft_scribner"] == pytest.approx(0.0025) and by["", "cuft"] == pytest.approx(1 / 79)
    assert by["post", "piece"] == pytest.approx(1.6290 / 79, abs=1e-6)
    assert by["pole", "piece"] == pytest.approx(2.4507 / 79, abs=1e-6)
    told = done.cut_by_stand(POSTS, MAY, by)
    assert told["12"] == pytest.approx(4.0 + 740 * 0.0025)
    assert told["4"] == pytest.approx(6 * 1.6290 / 79, abs=1e-5)
    assert told["1"] == pytest.approx(3 * 2.4507 / 79, abs=1e-5)
    assert set(told.index) == {"1", "4", "12"}, "five logs without a measure, chips, what was given: no cords"


def test_cords_of_a_stand_by_hand():
    """3 cords of living wood and 2 of dead in stand 9, 1 before, 1 after; hauled and split wood was felled already."""
    book = lines(
        ("2026-04-30", "firewood", 1.0, "cord", "", "9"),
        ("2026-05-01", "firewood", 3.0, "cord", "ash", "9"),
        ("2026-06-01", "firewood", 2.0, "cord", "dead ash", "9"),
        ("2026-06-02", "hauled", 5.0, "cord", "", "9"),
        ("2026-06-03", "split", 5.0, "cord", "", "9"),
        ("2026-06-04", "stack", 5.0, "cord", "", "9"),
        ("2026-07-02", "firewood", 1.0, "cord", "", "9"),
        ("2026-07-03", "firewood", 8.0, "cord", "", None),
    )
    assert done.cut_by_stand(book, MAY).to_dict() == {"9": 6.0}
    assert done.cut_by_stand(book, MAY, until=date(2026, 7, 1)).to_dict() == {"9": 5.0}
    assert done.cut_by_stand(book, MAY, dead=False).to_dict() == {"9": 4.0}
    assert done.cut_by_stand(book, None).to_dict() == {"9": 7.0}
    assert done.felled(book, MAY)["cords"].sum() == 14.0
    assert len(done.cut_by_stand(book.iloc[:0], MAY)) == 0


def test_the_familys_own_pace_by_hand():
    """24 hours for 3 cords in one winter, 10 for 1 in the next: 34 / 4; hours at the fence, a winter without either and
    one without cords are left out; nothing noted, nobody knows.
    """
    book = lines(
        ("2024-04-30", "work", 50.0, "h", "", None),
        ("2024-05-01", "work", 20.0, "h", "", None),
        ("2025-01-01", "work", 4.0, "h", "splitting", None),
        ("2025-01-02", "work", 9.0, "h", "the fence", None),
        ("2025-04-30", "firewood", 3.0, "cord", "", None),
        ("2025-05-01", "firewood", 1.0, "cord", "", None),
        ("2025-05-02", "work", 10.0, "h", "", None),
        ("2026-05-02", "firewood", 7.0, "cord", "", None),
    )
    assert done.pace_hours_per_cord(book) == (pytest.approx(34 / 4), 2)
    assert done.pace_hours_per_cord(book.iloc[[0, 7]]) is None and done.pace_hours_per_cord(book.iloc[:0]) is None


def test_a_job_ticks_down():
    """4.5 cords and 6 days to go and 3.5 cut: 8 cords and 6 x 8 / 4.5 = 10 2/3 days were planned."""
    told = done.ticked(4.5, 6.0, 3.5)
    assert (told.planned_cords, told.cut_cords, told.to_go_cords, told.days_to_go) == (8.0, 3.5, 4.5, 6.0)
    assert told.planned_days == pytest.approx(32 / 3)
    assert ticks_words(told) == "8.0 cords of wood planned, 3.5 cut, 4.5 to go; 6.0 of 11 days left."
    assert ticks_words(done.ticked(4.5, 6.0, 0.0)) == ""


GROWS = {
    "1": Estimate(10.0, "cords a year", 6.0, 15.0, kind="assumptions"),
    "2": Estimate(2.0, "cords a year"),
    "3": None,
    "4": Estimate(None, "cords a year"),
    "5": Estimate(1.0, "cords a year", 0.5, 2.0, kind="assumptions"),
}
MEASURED = pd.Series(pd.to_datetime(["2025-06-01", "2026-08-01", None, "2025-06-01", None]), index=list(GROWS))


def test_growth_against_cut_by_hand():
    """The ledger begins in January 2024: growing seasons of 2024, 2025 and 2026, whatever the day of the plots. Stand 1
    has grown 30 (18 to 45) and lost 18 living cords, stand 2 grew 6 and lost 8; dead trees are in neither; what nobody
    grows has no balance. Together 39 grown (18 + 6 + 1.5 to 45 + 6 + 6) and 26 cut.
    """
    book = lines(
        ("2024-01-10", "firewood", 18.0, "cord", "maple", "1"),
        ("2025-01-10", "firewood", 5.0, "cord", "dead ash", "1"),
        ("2026-01-10", "firewood", 8.0, "cord", "", "2"),
        ("2026-12-10", "firewood", 90.0, "cord", "", "2"),
        ("2026-01-10", "firewood", 4.0, "cord", "", "4"),
    )
    told = balance.balances(GROWS, MEASURED, book, done.IN_CORDS, date(2026, 11, 25), region=BASE)
    assert set(told) == {"1", "2", "5"}
    ends = {k: (b.grown.value, b.cut_cords, b.left.value, b.left.low, b.left.high) for k, b in told.items()}
    assert ends["1"] == (30.0, 18.0, 12.0, 0.0, 27.0) and ends["2"] == (6.0, 8.0, -2.0, None, None)
    assert ends["5"] == (3.0, 0.0, 3.0, 1.5, 6.0)
    whole = balance.total(told.values())
    assert (whole.grown.value, whole.cut_cords, whole.left.value) == (39.0, 26.0, 13.0)
    assert (whole.left.low, whole.left.high) == (18 + 6 + 1.5 - 26, 45 + 6 + 6 - 26)
    said = {k: balance_answer(b).words for k, b in told.items()}
    assert said == {
        "1": "grown 30 cords, cut 18 since 2024: 12 to the good (0 to 27, assumptions)",
        "2": "grown 6.0 cords, cut 8.0 since 2024: 2.0 more cut than grown",
        "5": "grown 3.0 cords (1.5 to 6.0, assumptions), nothing cut since 2024",
    }
    assert balance.total([]) is None and balance_answer(None) is None


def test_without_a_ledger_growth_counts_from_the_plots():
    """Plots of June 2025: the seasons of 2025 and 2026; of August 2026: none, nothing is said."""
    told = balance.balances(GROWS, MEASURED, POSTS.iloc[:0], done.IN_CORDS, date(2026, 11, 25), region=BASE)
    assert {k: b.grown.value for k, b in told.items()} == {"1": 20.0, "2": 0.0}
    late = lines(("2026-08-10", "firewood", 3.0, "cord", "", "1"))
    begun = balance.balances(GROWS, MEASURED, late, done.IN_CORDS, date(2026, 11, 25), region=BASE)
    assert balance_answer(begun["1"]).words == "cut 3.0 cords since 2026; no growing season has passed"
    assert balance_answer(told["2"]) is None and balance_answer(told["1"]).since == "2025-06-01"
