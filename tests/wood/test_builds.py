"""Ready lists of builds: each piece is a line that can be cut; what is sawn square; the family's own lists."""

import math

import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.wood.builds import pieces_of, ready
from woodlot.wood.need_lines import line_of, sides

REGION = shipped("lake_states")
NO_OWN = pd.DataFrame(columns=["build", "piece", "number"])
OWN = {"build": "trellis", "piece": "pole", "number": 7.0, "product": "pole", "length_ft": 11.0, "in_ground": True}
OWN = pd.DataFrame([OWN | dict.fromkeys(("top_in", "butt_in", "sawn_in", "straight", "wood"))])


def test_every_ready_build_has_pieces_that_are_lines():
    """With a length and a top; what stands in earth is of lasting wood, at least 4 in thick; butts over their tops."""
    whole = REGION.table("build_pieces")
    assert set(whole["build"]) == set(REGION.table("builds")["build"]) == set(ready(NO_OWN, region=REGION))
    for name in ready(NO_OWN, region=REGION):
        pieces = pieces_of(name, NO_OWN, region=REGION)
        lines = [line_of(piece, region=REGION) for piece in pieces]
        assert lines and all(len(line.lengths_ft) == 1 and line.top_in >= 3 for line in lines), name
        assert all(line.number >= 1 and line.butt_in > line.top_in for line in lines), name
        for line in lines:
            assert (line.woods == "lasting") == line.in_ground, (name, line)
            assert line.top_in >= 4 or not line.in_ground, (name, line)


@pytest.mark.parametrize(
    ("sawn", "length_ft", "straight", "top_in"),
    [
        ("8x8", 16, "beam", math.hypot(8, 8) + 1.0),
        ("6x8", 8, "beam", 10.0 + 0.5),
        ("4x4", 10, "pole", math.hypot(4, 4) + 1.0),
        ("4x4", 10, None, math.hypot(4, 4)),
    ],
)
def test_sawn_square_from_round_by_hand(sawn, length_ft, straight, top_in):
    """The diagonal, and how far the stem may bow: an 8x8 of 16 ft that may bow 1 in needs 12.31."""
    need = {"product": "sawlog", "number": 1, "length_ft": length_ft, "sawn_in": sawn, "straight": straight}
    assert line_of(need, region=REGION).top_in == pytest.approx(top_in)


@pytest.mark.parametrize(
    ("product", "straight", "length_ft", "top_in", "sweep_pct"),
    [
        ("post", "post", 8.0, 4.0, 100 * (2.0 - 1.0) / 4.0),
        ("pole", "pole", 10.0, 4.0, 0.0),
        ("post", "log", 8.0, 6.0, 100 * (2.0 - 1.0) / 6.0),
        ("post", None, 8.0, 4.0, 10.0),
    ],
)
def test_straightness_is_a_share_lost_to_sweep_by_hand(product, straight, length_ft, top_in, sweep_pct):
    """(bow - an inch in 8 ft) / top: a post of 4 in may bow 2, a pole of 10 ft 1, a bed log of 8 ft 2; a word that is
    not said leaves the usual limit.
    """
    need = {"product": product, "number": 1, "length_ft": length_ft, "top_in": top_in, "straight": straight}
    assert line_of(need, region=REGION).most_sweep_pct == pytest.approx(sweep_pct)


@pytest.mark.parametrize("text", ["8", "8 by 8", "x8", "0x0", "8x80", "eight x eight"])
def test_sides_that_are_none_are_refused(text):
    """In words on how to write them."""
    with pytest.raises(InputError, match="as 8x8"):
        sides(text)


def test_the_familys_own_list_stands_for_the_ready_one():
    """A trellis of their own is read from their rows alone; other builds stay; what is not written is usual."""
    (piece,) = pieces_of("trellis", OWN, region=REGION)
    line = line_of(piece, region=REGION)
    assert (line.product, line.lengths_ft, line.number, line.in_ground) == ("pole", (11.0,), 7.0, True)
    assert line.woods == "lasting" and line.top_in == REGION.figure("defaults_needs", "pole_top_in")
    assert pieces_of("fence", OWN, region=REGION) == pieces_of("fence", NO_OWN, region=REGION)
    assert ready(OWN, region=REGION)[0] == "trellis" and len(ready(OWN, region=REGION)) == len(REGION.table("builds"))
    assert pieces_of("trellis", OWN.assign(number=0.0), region=REGION) == []
