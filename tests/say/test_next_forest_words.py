"""The next forest in words: shares with and without a range, verdicts, kinds, light, what steps cost."""

import pytest

from woodlot.deer.forest_answer import CANT_SAY, COMING_UP, FILLERS, HELD, NOT_SHOWN, TOO_DARK
from woodlot.estimate import Estimate, reason
from woodlot.say.next_forest import STEPS
from woodlot.say.reasons import said

SHARE = Estimate(82.5, "percent", 68.4, 91.1, 0.9, "interval", n=40)
NOT, OPEN = "The next forest is not coming up", "We can't say yet whether the next forest comes up"
RULE = {"rule": "free stem", "needed": 1.0, "deer": "few", "wanted": 70.0}


def stocked(share=SHARE, **more):
    """The words of one rule."""
    plain = {"stocked": 33, "plots": 40, "more": 33, "more_kinds": (), "guessed": False}
    return said(reason("stocked", share=share, **RULE, **plain | more))


def test_the_share_by_one_rule():
    """Counts, share and range, what the rule asks for; without a range the counts alone."""
    assert stocked() == (
        "33 of 40 plots (82%, 68 to 91, 90%) have enough of the kinds that make a forest (free stem, 1 a plot at few "
        "deer); 70% of plots are needed."
    )
    assert stocked(Estimate(82.5, "percent")).startswith("33 of 40 plots have enough")
    assert stocked(more=36, more_kinds=("aspen",)).endswith(" With aspen, if wanted, 36 of 40.")
    strange = stocked(strange=("d", "e", "f", "g"), guessed=True)
    assert strange.endswith(
        " How hard deer press is not known: moderate deer assumed. Not counted, since no table speaks of them: d, e "
        "and others."
    )


@pytest.mark.parametrize(
    ("found", "more", "words"),
    [
        (COMING_UP, 0, "The next forest is coming up."),
        (HELD, 0, "The next forest is held down by deer."),
        (TOO_DARK, 0, f"{NOT}: too dark to blame deer."),
        (FILLERS, 0, f"{NOT}: beech and ironwood fill it; fewer deer alone will not mend that."),
        (NOT_SHOWN, 0, f"{NOT}; the cause is not shown."),
        (CANT_SAY, 1, f"{OPEN}: 1 more plot would tell."),
        (CANT_SAY, 0, f"{OPEN}: the share lies too near the need for plots to tell."),
    ],
)
def test_each_verdict_in_words(found, more, words):
    """One sentence each, the share after it."""
    facts = {"share": SHARE, "stocked": 33, "plots": 40, "needed": 70.0, "over": 4, "guessed": False}
    told = said(reason("next forest", found=found, more=more, fillers=("beech", "ironwood"), **facts))
    share = " 33 of 40 plots (82%, 68 to 91, 90%) have enough; 70% of plots are needed."
    over = " Beech or ironwood stands over it on 4 of 40 plots." if found == COMING_UP else ""
    assert told == words + share + over


@pytest.mark.parametrize(
    ("source", "known", "words"),
    [
        ("measured", 40, "30 of 40 plots have light enough for young trees (10% of full light; mean 21%, measured)."),
        (
            "stand",
            35,
            "30 of 40 plots (35 with a figure) have light enough for young trees (10% of full light; mean 21%, by",
        ),
        ("place", 40, "by basal area of the stand or of all your woods where not measured)."),
        ("", 0, "How much light reaches the plots is not known: write open_sky_pct"),
    ],
)
def test_where_the_light_comes_from_is_said(source, known, words):
    """Measured, by the stand, by the place, or not known."""
    assert words in said(reason("light on plots", lit=30, known=known, plots=40, enough=10.0, mean=21.0, from_=source))


@pytest.mark.parametrize(
    ("hours", "dollars", "per", "words"),
    [
        ((2.0, 6.0), (0.0, 0.0), "acre", "2 to 6 hours of work and no money an acre."),
        ((0.1, 0.2), (0.0, 0.0), "plot", "6 to 12 minutes of work and no money a plot."),
        ((30.0, 80.0), (1650.0, 4910.0), "acre", "30 to 80 hours of work and 1,650 to 4,910 dollars an acre."),
        ((0.0, 0.0), (0.0, 0.0), "acre", "No money an acre."),
        ((0.0, 0.0), (0.0, 0.0), "", ""),
    ],
)
def test_what_a_step_costs(hours, dollars, per, words):
    """Work and money for an acre, a plot or a pair."""
    assert said(reason("cost of a step", hours=hours, dollars=dollars, per=per)) == words


def test_steps_are_whole_sentences():
    """With what a row holds beside its cost, each is a sentence with its full stop."""
    facts = {
        "plots": {"more": 0, "counted": True}, "pairs": {"pairs": 1, "years": 3}, "cages": {"kinds": ("oak",)},
        "permit": {"told": "Ask."}, "light_cut": {"leaves": 80.0, "light": 21.0, "dark_from": 118.0},
    }  # fmt: skip
    for step, words in STEPS.items():
        told = words(**facts.get(step, {}))
        assert told[0].isupper() and told.endswith(".") and "  " not in told, step
    assert STEPS["plots"](more=40, counted=False).startswith("Count seedlings on 40 plots, on")
    assert STEPS["plots"](more=1, counted=True).startswith("Count seedlings on 1 more plot, on")
    assert STEPS["pairs"](pairs=1, years=3).startswith("Fence 1 plot, each") is True
