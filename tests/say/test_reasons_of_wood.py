"""Reasons of the wood chapter in words, each by hand."""

import pytest

from woodlot.estimate import reason
from woodlot.say.reasons import said

LINE = {"got": 2.0, "wanted": 6.0, "product": "post"}


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (reason("no plot yet"), "no plot here yet; three would give a first figure"),
        (reason("nothing on plots", plots=1), "nothing on the one plot"),
        (reason("nothing on plots", plots=8), "nothing on any of the 8 plots"),
        (reason("seen on few", holding=1, plots=4, value=6.382, unit="cords"), "seen on 1 of 4 plots, about 6.4"),
        (
            reason("seen on few", holding=0, plots=4, value=6.382, unit="cords"),
            "named on none of its plots: about 6.4, shared out by the kinds that were named",
        ),
        (reason("usual spread"), "range from a usual spread, not from these plots"),
        (
            reason("helped", stands=("2", "5", "7"), more=0, end="high", odd="", patchier=False),
            "range helped by stands 2, 5 and 7, of its cover",
        ),
        (
            reason("helped", stands=("2", "5", "7", "9"), more=1203, end="", odd="less", patchier=True),
            "range helped by stands 2, 5, 7, 9 and 1,203 more, of its cover; holds much less than its like, so its "
            "range is wider; three plots there tell most; patchier than its like",
        ),
        (
            reason("helped", stands=("12",), more=0, end="", odd="", patchier=False),
            "range helped by stand 12, of its cover",
        ),
        (reason("held by few", holding=2, plots=9), "on 2 of 9 plots: about; for a sale tally all of them"),
        (reason("none met", plots=3), "none met on its 3 plots"),
        (reason("none met", plots=1), "none met on its one plot"),
        (
            reason("shared out", value=40.2, part=12.4, unit="cords", kinds=("maple", "unknown hardwood")),
            "of these 40 cords, 12 are maple or unknown hardwood shared out by the kinds seen beside them",
        ),
        (reason("acres without plots", acres=1234.56), "1,234.6 acres have no plots and are left out"),
        (
            reason("short of it", short=2.5, unit="cubic yards", most=123.4),
            "2.5 cubic yards short; all of these trees for it alone give 120",
        ),
        (
            reason("a smaller size", **LINE, top_in=3.5, length_ft=None),
            "2 of 6 posts; there would be 6 with a top of 3.5 in",
        ),
        (reason("a smaller size", **LINE, top_in=None, length_ft=6.0), "2 of 6 posts; there would be 6 of 6 ft"),
        (
            reason("a smaller size", **LINE, top_in=3.5, length_ft=6.0),
            "2 of 6 posts; there would be 6 of 6 ft with a top of 3.5 in",
        ),
        (reason("no more lasting wood", **LINE), "2 of 6 posts; no more lasting wood of that size in this tally"),
        (
            reason("lines before it", **LINE, most=7),
            "2 of 6 posts; these trees have 7 of that size, and lines above this one in the list come first",
        ),
        (reason("most of that size", **LINE, most=3), "2 of 6 posts; these trees have 3 of that size at most"),
        (reason("as written"), "as you wrote it"),
        (reason("this season so far"), "from this season so far by degree-days"),
        (
            reason("from heat", known=(), mmbtu_per_cord=24.62, solid_cuft_per_cord=79.0, stove_pct=60.0),
            "from the house's loss and degree-days; 24.6 million Btu a cord gross at 79 cubic feet, stove 60%",
        ),
        (
            reason(
                "from heat", known=("oil", "propane"), mmbtu_per_cord=20.0, solid_cuft_per_cord=79.0, stove_pct=60.0
            ),
            "from a year's oil and propane; 20.0 million Btu a cord gross at 79 cubic feet, stove 60%",
        ),
    ],
)
def test_a_reason_in_words(why, words):
    """The sentence of its facts, without a capital and a full stop."""
    assert said(why) == words


def test_reasons_together():
    """One after the other; one alone stands alone."""
    one, other = reason("no plot yet"), reason("acres without plots", acres=3.0)
    assert said(reason("together", parts=(one, other))) == f"{said(one)}; {said(other)}"
    assert said(reason("together", parts=(one,))) == said(one)
