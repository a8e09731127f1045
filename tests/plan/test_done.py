"""What the ledger says was done: pieces made, cords felled by stand, hours a cord, by hand."""

from datetime import date

import pandas as pd
import pytest

from woodlot.plan import done
from woodlot.region import shipped

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
    """The line post: 4 in at the top, 7 at the butt, 8 ft (the later of two lengths): (16 + 28 + 49) / 3 = 31, times
    0.005454154 x 8 = 1.3526 cubic feet; the pole 4 to 9 in, 16 ft: 44.333, 3.8688. 79 cubic feet a cord. Two logs of
    100 board feet in .5 cord give .0025 a foot; dead trees and other rules do not count.
    """
    trees = pd.DataFrame(
        {"bdft": [100.0, 100.0, 50.0, 0.0], "cords": [0.2, 0.3, 9.0, 1.0], "alive": [True, True, False, True]}
    )
    by = done.rates(trees, "scribner", 79.0, region=BASE)
    assert by["", "bdft_scribner"] == pytest.approx(0.0025) and by["", "cuft"] == pytest.approx(1 / 79)
    assert by["post", "piece"] == pytest.approx(1.3526 / 79, abs=1e-6)
    assert by["pole", "piece"] == pytest.approx(3.8688 / 79, abs=1e-6)
    told = done.cut_by_stand(POSTS, MAY, by)
    assert told["12"] == pytest.approx(4.0 + 740 * 0.0025)
    assert told["4"] == pytest.approx(6 * 1.3526 / 79, abs=1e-5) and told["1"] == pytest.approx(
        3 * 3.8688 / 79, abs=1e-5
    )
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
    assert done.pace_hours_per_cord(book) == pytest.approx(34 / 4)
    assert done.pace_hours_per_cord(book.iloc[[0, 7]]) is None and done.pace_hours_per_cord(book.iloc[:0]) is None
