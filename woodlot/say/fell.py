"""What is said of trees to fell: what they become, which to take, posts, what is left, what people must not fell.

NOTHING_ASKED, EVERY_TREE, NOT_FOR_LINES, SHEET   sentences without figures
becomes, measured, not_judged                     what the trees of a tally become
cleared                                           trees that fall anyway
to_fell                                           which to take for the house
posts                                             how long posts stand in the ground
left                                              firewood, brush and chips of the trees to fell
not_by_hand                                       trees for people who know the work
"""

from collections.abc import Iterable

from woodlot.say.words import noun, plural, rule, two_figures
from woodlot.wood.account import Left
from woodlot.wood.products import PostYears

__all__ = [
    "EVERY_TREE",
    "NOTHING_ASKED",
    "NOT_FOR_LINES",
    "SHEET",
    "becomes",
    "cleared",
    "left",
    "measured",
    "not_by_hand",
    "not_judged",
    "posts",
    "to_fell",
]

NOTHING_ASKED = "Nothing is asked for under [needs] in place.toml, so none need fall; every tree is on the sheet."
EVERY_TREE = "Every tree is to be felled. For the house they give, first of all:"
NOT_FOR_LINES = "Trees that are not for hand felling give nothing to these lines."
SHEET = (
    "Trim and saw cut are in the feet. Read the thin end before you cut: the stem in hand is right, this sheet is a "
    "guess from its diameter and height."
)


def becomes(needs_first: bool) -> str:
    """For what all trees are cut up; needs_first: for the household's list before anything else."""
    first, last = ("what the house needs first, then for ", "") if needs_first else ("", " first")
    return f"Cut up for {first}the most wanted products{last}, all of them would become:"


def measured(taper_cuft: float, equation_cuft: float, bdft: float, log_rule: str, solid_cuft: float) -> str:
    """How the parts were measured; solid_cuft: in a cord."""
    return (
        "Ranges are 90% for stems and bark, a: assumptions. The stems as drawn hold "
        f"{two_figures(taper_cuft)} cubic feet above the stump, by the volume equation {two_figures(equation_cuft)}: "
        "pieces are scaled to the second, tree by tree. Parts sum to the whole trees; this was checked. Leaves have "
        f"weight only. The logs scale {two_figures(bdft)} board feet, {rule(log_rule)}. A full cord is 4 x 4 x 8 feet, "
        f"{solid_cuft:g} cubic feet of solid wood, no bark."
    )


def not_judged(trees: int) -> str:
    """On how many trees nobody judged rot; nothing where on none."""
    return f"Rot was not judged on {trees} trees: gross there, no defect taken off." if trees else ""


def cleared(trees: int) -> str:
    """Trees on ground to be cleared, which fall whatever is wanted."""
    stand, fall = (noun(trees, f"{word}s", word) for word in ("stand", "fall"))
    return f"{plural(trees, 'tree')} {stand} on ground to be cleared and {fall} anyway."


def to_fell(fell: int, trees: int, standing_cuft: float, gap_pct: float, proven: bool, stopped: bool) -> str:
    """How many of the trees to fell, their wood, and how much less any other choice could take."""
    holds = f"They hold {two_figures(standing_cuft)} cubic feet of standing wood"
    least = "takes less" if proven else f"can take less by more than {max(gap_pct, 0.1):.1f}%"
    ended = " The search ended at its node limit." if stopped and not proven else ""
    return f"For the house, fell {fell} of the {trees}. {holds}; no choice that gets this much {least}.{ended}"


def posts(of: Iterable[PostYears]) -> str:
    """How long posts stand untreated in the ground, by their wood, figures from memory with †; "" without posts."""
    each = ", ".join(f"{post.species} {_years(post)}" for post in of)
    return f"Years a post stands untreated in the ground, some far less: {each}." if each else ""


def _years(post: PostYears) -> str:
    if post.years_low is None or post.years_high is None:
        return "not known"
    years = f"{post.years_low:g}" + (f" to {post.years_high:g}" if post.years_high != post.years_low else "")
    return years + (" †" if post.years_seen == "memory" else "")


def left(of: Left) -> str:
    """Firewood, brush and chips of the trees to fell, and how heavy they are."""
    stems, limbs, low, high, chips_low, chips_high, pounds = map(
        two_figures,
        (
            of.stem_firewood_cords,
            of.limb_firewood_cords,
            of.brush_pile_cuft_low,
            of.brush_pile_cuft_high,
            of.chips_cuyd_low,
            of.chips_cuyd_high,
            of.green_lb,
        ),
    )
    return (
        f"From the trees on the sheet: {stems} cords of firewood from stems and about {limbs} from limbs over 3 inches "
        f"(half to one and a half of that, assumptions). Left over: brush that piles up to {low} to {high} cubic feet; "
        f"chips, {chips_low} to {chips_high} cubic yards, if brush and stems marked for it are chipped (assumptions). "
        f"Green the trees weigh about {pounds} pounds."
    )


def not_by_hand(trees: Iterable[tuple[str, str, str]]) -> str:
    """Trees that are not for hand felling by name, species and why; "" where there are none."""
    each = ", ".join(f"{tree} ({species}, {why})" for tree, species, why in trees)
    return f"{each}." if each else ""
