"""What moved since the last plan, in words: rounding, order, what is left out, and what was exchanged."""

import datetime as dt

import pytest

from woodlot.answers.types import Moved, MovedBy
from woodlot.estimate import reason
from woodlot.plan.what_moved import Differ
from woodlot.say import since_plan as say
from woodlot.say.reasons import said


def number(name, then, now, *by):
    """A number with what moved it, as (what, amount, words)."""
    return Moved(name, *say.NUMBERS[name], then, now, tuple(MovedBy(*one) for one in by))


CORDS = number(
    "cords", 5543.0, 5692.0, ("plots", 160.0, "plot 6"), ("day", -9.0, "the day since"), ("ledger", -2.0, "b")
)


def test_a_line_holds_what_shows_in_the_rounding_of_its_number():
    """5,500 and 5,700 are told to the hundred: 160 of it shows, 9 and 2 do not."""
    assert say.line(CORDS) == "What stands: 5,700 full cords, 5,500 then: +160 by plot 6."
    assert say.shown([CORDS]) == {"plots"}


def test_where_nothing_shows_alone_the_biggest_is_told():
    """5,549 to 5,551 by two small steps: the number moved as it is shown, and the larger step is said."""
    one = number("cords", 5549.0, 5551.0, ("day", -3.0, "the day since"), ("plots", 5.0, "plot 6"))
    assert say.line(one) == "What stands: 5,600 full cords, 5,500 then: +5.0 by plot 6."


def test_a_number_that_is_shown_the_same_did_not_move():
    """5,510 to 5,520 cords are 5,500 both; so are 18.4 and 18.3 deer."""
    same = [
        number("cords", 5510.0, 5520.0, ("day", 10.0, "a")),
        number("deer_per_sqmi", 18.4, 18.3, ("pellets", -0.1, "b")),
    ]
    assert say.moved(same) == [] and say.lines(same, ()) == ()
    assert say.row(dt.date(2025, 11, 14), same, ()) == (
        "Nothing moved",
        "since the plan of 14 Nov 2025",
        "No hand-in changed.",
    )


def test_the_biggest_move_beside_its_number_comes_first():
    """A buck from none, then a third of the meat, then a thirtieth of the cords; one number is no numbers."""
    bucks = number("bucks", 0.0, 1.0, ("day", 1.0, "a"))
    meat = number("meat_lb", 60.0, 40.0, ("bag", -20.0, "c"))
    told = say.lines([CORDS, meat, bucks], ())
    assert [line.split(":")[0] for line in told] == ["Bucks at most", "Venison", "What stands"]
    assert told[0] == "Bucks at most: 1 buck, 0 then: +1 by a."
    assert say.row(dt.date(2025, 11, 14), [bucks], told).number == "1 number moved"
    assert say.row(dt.date(2025, 11, 14), [bucks, meat], told).number == "2 numbers moved"


def test_a_first_number_and_one_that_is_gone():
    """There is no difference to tell."""
    first = number("cords", None, 640.0, ("plots", 650.0, "plots 1 to 3"), ("ledger", -10.0, "note 2"))
    gone = number("deer_per_sqmi", 18.0, None, ("pellets", -18.0, "pellet plots gone"))
    assert say.line(first) == "What stands: 640 full cords, no number then: by plots 1 to 3; note 2."
    assert say.line(gone) == "Deer this fall: no number now, 18 then: by pellet plots gone."


def test_six_lines_at_most_with_version_and_what_moved_nothing_among_them():
    """Of eight numbers four have room beside the line of the version and that of what moved nothing."""
    eight = [
        number(name, 10.0, 30.0, ("day", 15.0, "a"), ("version", 5.0, "woodlot 2 in place of 1"))
        for name in say.NUMBERS
    ]
    told = say.lines(eight, ("bag of 2025 new",))
    assert len(told) == 6 and told[-1] == "Moved nothing that shows: bag of 2025 new."
    assert told[-2].startswith("Not your doing, but woodlot 2 in place of 1: what stands +5.0, ")
    assert all("woodlot" not in line for line in told[:4])
    assert len(say.lines(eight, ())) == 6 and len(say.lines([CORDS], ())) == 1


def test_what_a_version_alone_moved_has_no_line_beside_its_own():
    """Nobody did anything: the one line says which numbers."""
    told = say.lines([number("does", 1.0, 0.0, ("version", -1.0, "woodlot 2 in place of 1"))], ())
    assert told == ("Not your doing, but woodlot 2 in place of 1: does at most -1.",)


NEW = (("new", (("19", ("4", "5", "6")),)),)
OLD = (("again", (("7", ("1",)),)), ("changed", (("7", ("2",)), ("8", ("3", "x")))), ("gone", (("8", ("9",)),)))
SUMS = (("seen", "", "", None, 2), ("firewood", "cord", "8", 2.0, 1), ("firewood", "cord", "9", 3.5, 2))


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (reason("plots moved", plots=NEW, cores=()), "plots 4 to 6 in stand 19 measured"),
        (
            reason("plots moved", plots=OLD, cores=("7", "8")),
            "plot 1 in stand 7 measured again and plot 2 in stand 7 corrected and plots 3, x in stand 8 corrected and "
            "plot 9 in stand 8 taken out and cores of stands 7, 8",
        ),
        (
            reason("notes moved", lines=Differ(("31", "32", "33", "34", "35")), sums=SUMS),
            "notes 31 to 35 (5.5 cords of firewood in stands 8, 9, seen 2 times)",
        ),
        (
            reason("notes moved", lines=Differ(("9",), ("4",), ("5", "7")), sums=(("deer", "deer", "", 1.0, 1),)),
            "note 9 (1 deer) and note 4 changed and notes 5, 7 gone",
        ),
        (
            reason(
                "notes moved",
                lines=Differ(("9", "10", "11", "12")),
                sums=(
                    ("hauled", "cord", "", 2.0, 1),
                    ("stack", "cord", "", 1.5, 1),
                    ("given", "cord", "", 0.5, 1),
                ),
            ),
            "notes 9 to 12 (2 cords hauled, 1.5 cords stacked, 0.5 cords given away)",
        ),
        (
            reason("notes moved", lines=Differ(("9",)), sums=(("post", "piece", "3", 20.0, 1),)),
            "note 9 (20 posts in stand 3)",
        ),
        (
            reason("notes moved", lines=Differ(("9",)), sums=(("sawlog", "bdft_doyle", "", 300.0, 1),)),
            "note 9 (300 board feet of sawlogs)",
        ),
        (
            reason("rows moved", tables=(("parcels", Differ((), ("lake",))), ("stands", Differ(("20",), (), ("8",))))),
            "parcel lake changed and stand 20 new and stand 8 gone",
        ),
        (reason("rows moved", tables=(("counts", Differ(("2026-10-03 00:00:00",))),)), "deer counts of 3 Oct 2026 new"),
        (
            reason("rows moved", tables=(("pellets", Differ(("2026-04-26", "2026-04-20", "2026-04-22"))),)),
            "pellet plots of 20 Apr 2026 to 26 Apr 2026 new",
        ),
        (
            reason("rows moved", tables=(("browse", Differ((), ("", "2026-04-20"))),)),
            "browse of 20 Apr 2026 and no day changed",
        ),
        (
            reason("settings moved", keys=(("needs.firewood_cord", 7, 9), ("limits.tags", None, 1)), files=()),
            "firewood_cord 9 (was 7), tags 1 (not there before)",
        ),
        (
            reason(
                "settings moved", keys=(("needs.posts", 3, None), ("needs.pieces", [1], [])), files=("a/region.toml",)
            ),
            "posts taken out (was 3), pieces changed and a/region.toml",
        ),
        (reason("days since", days=1), "the day since"),
        (reason("days since", days=1376), "the 1,376 days since"),
        (reason("rasters moved", files=("a.tif", "b.tif")), "the rasters a.tif, b.tif"),
        (reason("files moved", files=("plots.csv",)), "plots.csv changed"),
        (
            reason("moved together", parts=(reason("days since", days=2), reason("files moved", files=("a",)))),
            "the 2 days since together with a changed",
        ),
    ],
)
def test_what_was_exchanged_in_words(why, words):
    """Rows, notes and keys by the names that a family gave them."""
    assert said(why) == words
