"""The deer in words: each sentence from its facts, and results of the chapter with all their words."""

import pytest

from woodlot.deer.answer import Spring, Winters
from woodlot.estimate import Estimate, Number, reason
from woodlot.say.reasons import said, worded

UNIT = "deer a square mile"


def number(value, low=None, high=None, unit=UNIT, kind="interval", why=None):
    """An Estimate with or without a range."""
    return Estimate(value, unit, low, high, kind="none" if low is None else kind, why=why)


COUNT = number(24.0, 12.0, 40.0)
PELLETS = reason("source", of="pellets", springs=(2025, 2026), apart=False)
KILL, FAWNS = (reason("source", of=kind, springs=(), apart=False) for kind in ("kill", "fawns"))
CAMERAS = number(99.6, 70.0, 131.0, kind="assumptions")
STATE = number(22.0, why=reason("mean of a unit"))


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (
            reason("few groups", groups=0.0, plots=40, least=10, most=7.3),
            "No groups on 40 plots; 10 groups is the least. At most 7 deer a square mile.",
        ),
        (
            reason("few groups", groups=1.0, plots=40, least=10, most=7.6),
            "1 group on 40 plots; 10 groups is the least. At most 8 deer a square mile.",
        ),
        (
            reason("few groups", groups=2.0, plots=2, least=5, most=None),
            "2 groups on 2 plots; 5 groups is the least.",
        ),
        (
            reason("deer in fall", fall=COUNT, year=2026, counts=(PELLETS, KILL), beside=(FAWNS,)),
            "24 deer a square mile in fall 2026 (12 to 40, 90%). It rests on 2 springs of pellets and the neighbors' "
            "kill, with fawns seen.",
        ),
        (
            reason("no herd figure", why=reason("ratios alone")),
            "We can't say how many. Fawns, bucks and hours tell ratios and trends, never how many deer: forty pellet "
            "plots on lines in spring, or what neighbors take a square mile, would.",
        ),
        (
            reason("pull", alone=COUNT, without=number(None, why=reason("nothing else counted")), used=False),
            "by it alone 24 (12 to 40), without it there is no number; set aside",
        ),
        (
            reason("acres not surveyed", acres=39.6, of=161.2),
            "No pellet plot lies on 40 of your 161 acres; the rest speaks for them.",
        ),
        (reason("home range assumed", sex="buck"), "home range of a buck assumed, smallest to largest"),
        (reason("trend", change=number(-12.4, -20.2, -3.1)), "They fall by 12% a year (-20 to -3%, 90%)."),
        (reason("trend", change=number(4.0, -3.0, 11.0)), "They probably rise by 4% a year (-3 to 11%, 90%)."),
        (reason("trend", change=number(4.0, 1.0, 11.0)), "They rise by 4% a year (1 to 11%, 90%)."),
        (
            reason("trend", change=Estimate(None, "", why=reason("few seasons", n=2))),
            "2 seasons; three show a first trend",
        ),
        (reason("seen an hour", of="tracks"), "deer seen an hour, tracks"),
        (
            reason("counts disagree", year=2026, sides=(((PELLETS,), COUNT), ((KILL,), number(11.0, 6.0, 22.0)))),
            "Counts disagree: 24 deer a square mile in fall 2026 (12 to 40) by 2 springs of pellets, 11 (6 to 22) by "
            "the neighbors' kill. That is the finding: no number is made of both, and the take rests on the side that "
            "can give fewer does.",
        ),
        (
            reason("counts agree", each=((PELLETS, COUNT), (KILL, number(20.0, 11.0, 31.0)))),
            "Counts fit together: 2 springs of pellets alone 24 (12 to 40); the neighbors' kill alone 20 (11 to 31).",
        ),
        (
            reason("browsed", preference="second", word="heavy", share=number(62.5, 55, 70, "percent"), sure=False),
            "62% of stems of their second choice are browsed (55 to 70, 90%): probably heavy.",
        ),
        (
            reason("browsed", preference="not ranked", word="", share=number(3.0, unit="percent"), sure=False),
            "3% of stems of kinds that have no rank are browsed.",
        ),
        (
            reason("browsed", preference="avoided", word="", share=number(3.0, unit="percent"), sure=False),
            "3% of stems of what they avoid are browsed, which says nothing of how hard deer press.",
        ),
        (
            reason(
                "browsed",
                preference="preferred",
                word="light",
                share=number(9.0, unit="percent", why=reason("few plots with it", n=2, plots=40, pct=9.0)),
                sure=False,
            ),
            "9% of stems of what deer like best are browsed: perhaps light; seen on 2 of 40 plots, about 9%; no range.",
        ),
        (reason("few browse plots", plots=1, least=5), "1 plot; 5 are the least."),
        (reason("few browse plots", plots=4, least=5), "4 plots; 5 are the least."),
        (
            reason("browsing", name="high", meaning="few young trees get past deer"),
            "Browsing is high: few young trees get past deer.",
        ),
        (
            reason("raster shows", pct=99.4),
            "The land cover raster shows 99% of the ground around your stands; what it does not show is "
            "taken to be as what it does.",
        ),
        (
            reason("raster shows", pct=99.5),
            "The ground around your stands is told by the land cover raster, all of it.",
        ),
        (
            reason("share of food", acres=12.4, food=8.6),
            "Your stands are 12% of that ground and hold 9% of its winter food.",
        ),
        (
            reason("evergreens", pct=0.4, cover=0.04),
            "Evergreens stand on next to none of it: winter cover is short (full from a tenth, where they"
            " are over 30 feet and closed; nobody measured that here).",
        ),
        (
            reason("evergreens", pct=12.0, cover=1.0),
            "Evergreens stand on 12% of it: winter cover counts in full (full from a tenth, where they "
            "are over 30 feet and closed; nobody measured that here).",
        ),
        (
            reason("covers without figure", covers=("heath", "fen")),
            "No figure for heath, fen: such stands are counted as feeding none.",
        ),
        (
            reason("cut lately", acres=0.04, young=("3", "4")),
            "Stand 3, stand 4: young enough to feed deer as a clearing does.",
        ),
        (
            reason("cut lately", acres=2.0, young=()),
            "By the ledger about 2.0 acres were opened (its cords over what such cuts take an acre).",
        ),
        (reason("raster not used", why="it cannot be read"), "The land cover raster is not used: it cannot be read."),
    ],
)
def test_a_sentence_of_the_deer(why, words):
    """From facts to words, whole."""
    assert said(why) == words


def test_what_cuts_add_is_said_by_winter():
    """Under one deer as a part of it; covers without a figure by name; nothing worth a number as that."""
    ends = {
        "mild": number(3.1, 1, 9),
        "average": number(2.0, 0.7, 6.1, kind="assumptions"),
        "severe": number(1.2, 0, 4),
    }
    words = said(reason("cuts add", year=2029, acres=41.0, covers=("pine", "fen"), **ends))
    assert words == (
        "The 41 acres to be cut in the coming years add winter food for 2.0 deer (0.70 to 6.1, assumptions) in an "
        "average winter, 3.1 in a mild one, 1.2 in a severe one; most in 2029-30. For pine and fen no figure after a "
        "cut was found; nothing is added there."
    )
    part = said(reason("cuts add", year=2099, acres=41.0, covers=(), **ends | {"average": number(0.5, 0.2, 1.5)}))
    assert "food for 0.50 of a deer (" in part and part.endswith("most in 2099-00.")
    none = said(reason("cuts add", year=2029, acres=41.0, covers=(), **ends | {"average": number(0.009, 0, 0.02)}))
    assert none == "The 41 acres to be cut in the coming years add no winter food for deer worth a number."


def test_a_result_is_worded_all_the_way_down():
    """Estimates are Numbers, Reasons words, in tuples, mappings and results within results; the rest stays."""
    spring = worded((Spring(2026, 40, 3.0, number(5.0, why=reason("too few", of="line", n=2, least=3))),))[0]
    assert (spring.year, spring.groups) == (2026, 3.0)
    assert spring.per_sqmi == Number(
        5.0, unit=UNIT, level=0.9, why="2 lines have no range of their own; 3 would give a first one"
    )
    winters = worded({"food": Winters(COUNT, CAMERAS, None)})["food"]
    assert winters.average.level is None and winters.mild.level == 0.9 and winters.severe is None
    assert worded(("free stem", reason("no cut planned"), 3)) == (
        "free stem",
        "No cut is planned, so none adds food.",
        3,
    )
