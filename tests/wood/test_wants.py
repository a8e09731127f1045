"""What is still wanted: once or each year, drawn down by the ledger, each note once; builds with their pieces; heat."""

from datetime import date

import pandas as pd
import pytest

from woodlot.plan.done import made
from woodlot.region import shipped
from woodlot.wood.builds import pieces_of
from woodlot.wood.heating import need_mmbtu
from woodlot.wood.wants import open_lines, wanted

DAY, REGION = date(2026, 11, 25), shipped("lake_states")
NO_OWN = pd.DataFrame(columns=["build", "piece", "number"])
UNITS = {
    "post": "piece",
    "pole": "piece",
    "sawlog": "bdft_scribner",
    "firewood": "cord",
    "chips": "cuyd",
    "built": None,
}


def book(*notes):
    """A ledger of (kind, day, amount, words)."""
    rows = [(kind, pd.Timestamp(day), amount, UNITS[kind], text) for kind, day, amount, text in notes]
    return pd.DataFrame(rows, columns=["kind", "date", "amount", "unit", "text"]).assign(
        line=range(1, len(rows) + 1), corrects=None
    )


def posts(number, **more):
    """A want of posts."""
    return {"product": "post", "number": number, **more}


def build(name, **more):
    """A build with the pieces of its ready list."""
    return {"name": name, **more, "pieces": pieces_of(name, NO_OWN, region=REGION)}


def told(*notes, needs=None, wants=(), builds=(), day=DAY):
    """(asked, made, left) of each want."""
    each = wanted(needs or {}, list(wants), list(builds), book(*notes), day, REGION)
    assert [one.price_order for one in each] == list(range(len(each)))
    return [(one.asked_number, one.made_number, one.left) for one in each]


def test_two_hundred_posts_are_two_hundred_by_hand():
    """40 noted since they were asked for, over three winters, 160 left; without the day only those of this winter."""
    notes = [("post", "2024-06-01", 25, "cedar"), ("post", "2026-04-30", 5, ""), ("post", "2026-05-01", 10, "")]
    assert told(*notes, wants=[posts(200, asked=date(2024, 1, 1))]) == [(200.0, 40.0, 160.0)]
    assert told(*notes, wants=[posts(200)]) == [(200.0, 10.0, 190.0)]
    assert told(*notes, needs={"posts": 200}) == [(200.0, 10.0, 190.0)]
    assert told(*notes, wants=[posts(8, asked=date(2026, 1, 1))]) == [(8.0, 8.0, 0.0)]


def test_what_is_wanted_each_year_begins_anew_every_winter():
    """7 cords: 3 noted this winter leave 4; last winter's 20 leave nothing off this one's."""
    notes = [("firewood", "2025-11-01", 20, ""), ("firewood", "2026-10-01", 3, "")]
    assert told(*notes, needs={"firewood_cord": 7.0}) == [(7.0, 3.0, 4.0)]
    assert told(*notes, needs={"firewood_cord": 7.0}, day=date(2026, 4, 1)) == [(7.0, 7.0, 0.0)]
    each = [posts(10, often="each year", asked=date(2024, 6, 1))]
    spring = [("post", "2024-07-01", 30, ""), ("post", "2026-06-01", 4, "")]
    assert told(*spring, wants=each) == [(10.0, 4.0, 6.0)]


def test_a_note_counts_once_and_for_what_is_due_first():
    """12 posts: 8 due in June, the rest for next year, none for the one without a day; the list keeps its order."""
    wants = [posts(20), posts(10, by=date(2028, 1, 1)), posts(8, by=date(2027, 6, 1))]
    assert told(("post", "2026-06-01", 12, ""), wants=wants) == [(20.0, 0.0, 20.0), (10.0, 4.0, 6.0), (8.0, 8.0, 0.0)]


def test_an_old_note_is_left_for_the_want_that_may_count_it():
    """5 of June, 5 of November: the want asked in May takes June's, so the one asked in November is met too."""
    notes = [("post", "2026-11-10", 5, ""), ("post", "2026-06-01", 5, "")]
    wants = [posts(5, asked=date(2026, 5, 5), by=date(2027, 1, 1)), posts(5, asked=date(2026, 11, 1))]
    assert told(*notes, wants=wants) == [(5.0, 5.0, 0.0), (5.0, 5.0, 0.0)]


def test_a_note_that_names_its_purpose_counts_for_that_first():
    """Six posts for the goat fence are the goat fence's, though the garden is due sooner; what is over goes there."""
    wants = [posts(4, purpose="goat fence"), posts(9, purpose="garden", by=date(2027, 1, 1))]
    assert told(("post", "2026-06-01", 6, "Goat fence, cedar"), wants=wants) == [(4.0, 4.0, 0.0), (9.0, 2.0, 7.0)]


def test_each_year_and_once_share_the_notes_of_past_winters():
    """10 a year since 2024 and 200 once: of 30 posts of 2024, 10 were that year's, 20 count for the 200."""
    asked = date(2024, 6, 1)
    wants = [posts(10, often="each year", asked=asked), posts(200, asked=asked)]
    assert told(("post", "2024-07-01", 30, ""), wants=wants) == [(10.0, 0.0, 10.0), (200.0, 20.0, 180.0)]


def test_units_that_say_nothing_of_a_product_are_left_out():
    """Board feet are no pieces, a void amount nothing; what is dated after the day is not there yet."""
    notes = [("sawlog", "2026-06-01", 300, ""), ("post", "2026-06-01", None, "some"), ("post", "2026-12-24", 3, "")]
    needs = {"sawlogs": 8, "sawlogs_bdft": 1000, "posts": 4}
    assert told(*notes, needs=needs) == [(4.0, 0.0, 4.0), (8.0, 0.0, 8.0), (1000.0, 300.0, 700.0)]
    assert made(book(*notes), "board feet", DAY) == 0.0 and made(book(*notes), "board feet", date(2026, 6, 1)) == 300.0
    assert made(book(*notes), "post", date(2026, 6, 1)) == 3.0


def test_hot_wood_is_a_part_of_all_firewood():
    """2 of 7 cords hot: with 6 noted 1 is left, so no more than 1 can be wanted hot."""
    needs = {"firewood_cord": 7.0, "firewood_hot_cord": 2.0}
    assert told(("firewood", "2026-10-01", 3, ""), needs=needs) == [(7.0, 3.0, 4.0), (2.0, 0.0, 2.0)]
    assert told(("firewood", "2026-10-01", 6, ""), needs=needs) == [(7.0, 6.0, 1.0), (2.0, 1.0, 1.0)]


def test_the_list_is_in_the_familys_order_and_once_by_its_day():
    """Needs, then wants, then builds; firewood with a day is wanted once."""
    wants = [{"product": "firewood", "number": 2.0, "by": date(2027, 1, 1)}, {"product": "chips", "number": 5.0}]
    pieces = [{"product": "pole", "number": 3.0, "often": "each year"}]
    needs = {"firewood_cord": 7.0, "posts": 12, "pieces": pieces}
    each = wanted(needs, wants, [build("trellis")], book(), DAY, REGION)
    assert [(one.line.product, one.often) for one in each] == [
        ("post", "once"),
        ("firewood", "each year"),
        ("pole", "each year"),
        ("firewood", "once"),
        ("chips", "each year"),
        ("post", "once"),
        ("post", "once"),
        ("pole", "once"),
    ]


def test_pieces_of_a_build_say_what_they_are_for():
    """Two trellises: twice the pieces, each with build, piece and what the family wrote; open lines alone go on."""
    each = wanted({}, [], [build("trellis", number=2.0, purpose="grapes", by=date(2026, 6, 1))], book(), DAY, REGION)
    assert [(one.purpose, one.left, one.build) for one in each] == [
        ("trellis for grapes: end post", 4.0, "trellis"),
        ("trellis for grapes: line post", 4.0, "trellis"),
        ("trellis for grapes: brace", 4.0, "trellis"),
    ]
    assert all(one.late(DAY) and not one.late(date(2026, 6, 1)) for one in each)
    assert [line.purpose for line in open_lines(each)] == [one.purpose for one in each]


def test_parts_of_a_build_are_whole_pieces_by_hand():
    """350 feet of fence: 9 x 3.5 = 31.5, so 32 posts; 200 feet built leave 9 x 1.5 = 13.5, so 14."""
    fence = build("fence", number=3.5)
    assert told(builds=[fence]) == [(32.0, 0.0, 32.0)]
    assert told(builds=[build("fence", number=0.25)]) == [(3.0, 0.0, 3.0)]
    assert told(("built", "2026-08-01", 2, "fence along the lane"), builds=[fence]) == [(32.0, 18.0, 14.0)]


def test_a_build_that_is_built_is_taken_off_whole():
    """With its notes of posts until then, which went into it; posts noted later are the second one's."""
    two = build("trellis", number=2.0)
    once = ("built", "2026-08-01", None, "the first trellis")
    assert [left for *_, left in told(once, builds=[two])] == [2.0, 2.0, 2.0]
    assert [left for *_, left in told(once, once, once, builds=[two])] == [0.0, 0.0, 0.0]
    before, after = ("post", "2026-07-01", 2, ""), ("post", "2026-09-01", 1, "")
    assert [left for *_, left in told(once, before, builds=[two])] == [2.0, 2.0, 2.0]
    assert [left for *_, left in told(once, after, builds=[two])] == [1.0, 2.0, 2.0]
    assert [left for *_, left in told(("built", "2026-08-01", 1, "arbor"), builds=[two])] == [4.0, 4.0, 4.0]


def test_a_name_that_stands_in_another_takes_no_note_of_it():
    """A fence corner that is built leaves the fence as it is."""
    left = [
        left
        for *_, left in told(("built", "2026-08-01", 1, "fence corner"), builds=[build("fence"), build("fence corner")])
    ]
    assert left == [9.0, 0.0, 0.0, 0.0]


def test_posts_go_to_the_build_that_is_due_first():
    """5 posts: the trellis of next June before the one of 2028, end posts before line posts."""
    builds = [build("trellis", by=date(2028, 6, 1)), build("trellis", by=date(2027, 6, 1))]
    assert [m for _, m, _ in told(("post", "2026-06-01", 5, ""), builds=builds)] == [1.0, 0.0, 0.0, 2.0, 2.0, 0.0]


def test_firewood_is_wanted_as_heat_by_hand():
    """7 cords of red oak: .56 x 62.4 x 79 x 8,600 / 1e6 = 23.74 a cord, 166 in all; 3 noted leave 4, 95."""
    needs = {"firewood_cord": 7.0, "firewood_of": "red oak"}
    (one,) = wanted(needs, [], [], book(("firewood", "2026-10-01", 3, "popple")), DAY, REGION)
    assert one.mmbtu_each == pytest.approx(0.56 * 62.4 * 79 * 8600 / 1e6, rel=1e-3)
    assert one.line.mmbtu == pytest.approx(4 * one.mmbtu_each) and one.of_wood == ("northern red oak",)
    assert need_mmbtu(needs, region=REGION).value == pytest.approx(7 * one.mmbtu_each)
    (usual,) = wanted({"firewood_cord": 7.0}, [], [], book(), DAY, REGION)
    assert usual.of_wood == ("northern red oak", "red maple") and usual.mmbtu_each < one.mmbtu_each
    (aspen,) = wanted({}, [{"product": "firewood", "number": 1.0, "wood": "quaking aspen"}], [], book(), DAY, REGION)
    assert aspen.of_wood == ("quaking aspen",) and aspen.mmbtu_each < usual.mmbtu_each


def test_heat_that_is_known_another_way_is_a_want_too():
    """120 million Btu are 120 over that of a cord; written cords go before; other lines have no heat."""
    (heat,) = wanted({"heat_mmbtu": 120.0, "firewood_of": "red oak"}, [], [], book(), DAY, REGION)
    assert heat.line.mmbtu == pytest.approx(120.0) and heat.asked_number == pytest.approx(120 / heat.mmbtu_each)
    (both,) = wanted({"heat_mmbtu": 120.0, "firewood_cord": 2.0}, [], [], book(), DAY, REGION)
    assert both.asked_number == 2.0
    (oil,) = wanted({"oil_gal": 500.0}, [], [], book(), DAY, REGION)
    assert oil.often == "each year" and oil.line.mmbtu > 0
    assert wanted({"firewood_cord": 0.0}, [], [], book(), DAY, REGION) == ()
    assert wanted({"posts": 3}, [], [], book(), DAY, REGION)[0].line.mmbtu == 0.0
