"""What-ifs in words: what would be otherwise, whether it changes the next ten years, and what nobody knows of it.

headline            which of them change what to do now
told                one scenario: why, and what is not known
heading             the name of a scenario before its sentences
than_planned        cords more or fewer
no_need, left_out, tally_on_top   what is not in the table
"""

from collections.abc import Callable, Sequence
from math import log

from woodlot.estimate import Number
from woodlot.plan import what_ifs
from woodlot.plan.what_ifs import SOON_YR, Outcome
from woodlot.region import Region
from woodlot.say import words
from woodlot.trade import (
    ASH_GONE,
    DRY_DECADE,
    FENCED,
    LESS_FIREWOOD,
    MORE_FIREWOOD,
    UNCHECKED,
    WINDSTORM,
)

__all__ = [
    "AS_PLANNED",
    "COLUMNS",
    "HOW",
    "NOT_ENOUGH",
    "heading",
    "headline",
    "left_out",
    "no_need",
    "tally_on_top",
    "than_planned",
    "told",
]

AS_PLANNED = "as planned"
NOT_ENOUGH = "You have not measured enough to say. Three plots in a stand would give a first figure."
COLUMNS = (
    "Cords and board feet: standing at the end. Growth and cut in cords, and days of work: a year, over all of them. "
    "Deer: fed by your stands in an average winter, with all cuts."
)
HOW = (
    "Each row is a plan of its own for middle growth; its range is the same cuts at low and high growth, without "
    "the error of the plots. What the plan may cut a year is set today and not set anew at the next cruise. Nothing of "
    "this goes into your plan."
)
#: Less than this share of the wood is told as none.
ALIKE = 0.005
#: Of the trees of a kind that is gone, so many still stand.
LAST = 0.01


def headline(stock: Number, years: int, rows: Sequence[tuple[str, bool]]) -> str:
    """What stands at the end as planned, and which scenarios change what to do in the next ten years."""
    stands = f"As planned {words.answer(stock)} would stand in {years} years."
    doing = [name for name, changes in rows if changes]
    if not rows:
        return stands
    if not doing:
        return f"{stands} None of these changes what to do in the next ten years."
    others = "" if len(doing) == len(rows) else ", not with the others"
    changes = f"What to do in the next ten years would change with {words.listed(doing)}{others}."
    return f"{stands} {changes}"


def heading(name: str) -> str:
    """A scenario's name before its sentences."""
    return f"{words.capital(name)}."


def no_need(names: Sequence[str]) -> str:
    """Scenarios that are not shown, since the house asks for no firewood."""
    asks = "[needs] firewood_cord in place.toml"
    return f"Not shown: {words.listed(names)}. The house asks for no firewood ({asks})."


def left_out(stands: int, of: int) -> str:
    """Stands without plots."""
    are = words.noun(stands, "has no plot and is", "have no plots and are")
    return f"{stands} of {words.plural(of, 'stand')} {are} in none of this."


def tally_on_top(cords: float) -> str:
    """The tally's trees, which are in no row."""
    return f"The trees of your tally that fall this winter, {words.amount(cords, 'cords')}, are on top in every row."


def told(name: str, one: Outcome, plan: Outcome, burned: float, moved: float, region: Region) -> tuple[str, str]:
    """What a scenario is and does, and what is not known of it.

    burned: cords of firewood the house asks for; moved: share of the wood of the next ten years that goes elsewhere, 0
    where that is too little to do otherwise.
    """
    why = WHY[name](one, plan, burned, region)
    return " ".join(filter(None, (*why, _stock(one, plan), _soon(name, one, plan, moved)))), UNKNOWN[name](region)


def than_planned(more: float, planned: float) -> str:
    """Cords more or fewer than planned."""
    if abs(more) < ALIKE * planned:
        return AS_PLANNED
    return f"{words.rounded(abs(more), 'cords')} {'more' if more > 0 else 'fewer'}"


def _stock(one: Outcome, plan: Outcome) -> str:
    there, planned = one.stock_cords[1], plan.stock_cords[1]
    more = than_planned(there - planned, planned)
    if more == AS_PLANNED:
        return f"In {one.years} years about as much wood would stand as planned."
    return f"In {one.years} years {words.amount(there, 'cords')} would stand, {more} than planned."


def _soon(name: str, one: Outcome, plan: Outcome, moved: float) -> str:
    now, planned = (words.rounded(float(each.soon.sum()), "cords") for each in (one, plan))
    if name in what_ifs.CUTS_STAY:
        cuts = f"Made as planned, the cuts of the next {SOON_YR} years give"
        alike = f"{cuts} about as much as planned." if plan.soon.sum() > 0 else ""
        return alike if now == planned else f"{cuts} {now} cords instead of {planned}."
    if not moved:
        return "" if name == WINDSTORM and one.saved else f"The next {SOON_YR} years stay as planned."
    new = [str(stand) for stand in one.soon.index.difference(plan.soon.index)]
    where = f", also in {words.noun(len(new), 'stand')} {words.first_of(new, 6)}" if new else ""
    if now == planned:
        return f"In the next {SOON_YR} years as many cords would be cut as planned{where or _elsewhere(one, plan)}."
    return f"In the next {SOON_YR} years {now} cords would be cut instead of {planned}{where}."


def _elsewhere(one: Outcome, plan: Outcome) -> str:
    """In which stands more and in which less is cut than planned."""
    more = one.soon.sub(plan.soon, fill_value=0.0)
    least = ALIKE * float(plan.soon.sum())
    ways = {"more": list(more.index[more > least]), "less": list(more.index[more < -least])}
    told = [f"{way} of it in {words.noun(len(at), 'stand')} {words.first_of(at, 6)}" for way, at in ways.items() if at]
    return f", {' and '.join(told)}" if told else ""


def _need(one: Outcome, plan: Outcome, burned: float, times: float) -> tuple[str, ...]:
    asks = words.amount(burned * times, "cords")
    missing = one.short_cords - plan.short_cords
    short = f"{words.amount(missing, 'cords')} of it a year would be missing." if missing > 0.05 else ""
    return f"The house asks for {asks} a year instead of {words.rounded(burned, 'cords')}.", short


def _less(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    return _need(one, plan, burned, what_ifs.figure(LESS_FIREWOOD, "need_times", region))


def _more(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    return _need(one, plan, burned, what_ifs.figure(MORE_FIREWOOD, "need_times", region))


def _ash(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    if not one.ash_cords > 0 or one.saved is None or one.lost is None:
        return ("No ash stood on any plot.",)
    fast, _, slow = (log(LAST) / log(1.0 - share) for share in what_ifs.ends(ASH_GONE, "die_per_yr", region))
    saved, lost = one.saved[1], one.lost[1]
    cut = f"{words.amount(saved, 'cords')} of it would be cut in time" if saved >= 0.05 else "none of it is cut in time"
    burn = f", {words.amount(lost / burned, 'winters')} of firewood" if burned > 0 else ""
    dying = words.rounded(one.ash_dying_cords, "cords")
    where = "All of it stands" if dying == words.rounded(one.ash_cords, "cords") else f"{dying} of them stand"
    known = f"{where} where ash dies already, which the plan counts on." if one.ash_dying_cords > 0 else ""
    stands, dies = words.amount(one.ash_cords, "cords"), f"dies within {fast:.0f} to {slow:.0f} years"
    return (
        f"{stands} of ash stand today, and nearly all of it {dies}: {cut}, {words.rounded(lost, 'cords')} would die "
        f"standing{burn}.",
        known,
    )


def _young(one: Outcome, plan: Outcome) -> str:
    now, planned = (words.rounded(each.young_trees[1], "trees an acre") for each in (one, plan))
    grown = "No young tree reaches" if now == "0" else f"{now} young trees an acre reach"
    return f"{grown} 5 inches in {one.years} years; as planned {planned} an acre do."


def _browsed(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    if not plan.young_trees[1] > 0:
        return ("The plan already counts on no young trees.",)
    return (_young(one, plan),)


def _fenced(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    out = "Deer get nothing behind the fence, which goes round all stands."
    if abs(one.young_trees[1] - plan.young_trees[1]) < 0.5:
        why = "no stand is known to have too few small trees, so the plan lets them come up as they do without deer"
        return (out, f"In the woods nothing moves: {why}.")
    return (out, _young(one, plan))


def _dry(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    years, slow, more = (what_ifs.ends(DRY_DECADE, of, region) for of in ("years", "growth_times", "more_deaths"))
    less = words.rounded(100 * (1 - slow[1]), "percent")
    span = f"{100 * (1 - slow[2]):.0f} to {100 * (1 - slow[0]):.0f}"
    dead = f"{100 * more[1]:g} in 100 more die each year ({100 * more[2]:g} to {100 * more[0]:g})"
    return (f"For {years[1]:.0f} years trees grow {less}% less ({span}) and {dead}; then years are as usual.",)


def _wind(one: Outcome, plan: Outcome, burned: float, region: Region) -> tuple[str, ...]:
    if one.lost is None or one.saved is None:
        return ()
    lost, saved = (Number(mid, low, high, "cords", "assumptions") for low, mid, high in (one.lost, one.saved))
    winters = what_ifs.figure(WINDSTORM, "sound_winters", region)
    burns = f"{words.amount(burned * winters, 'cords')} in that time"
    rest = "more than that wants a buyer or rots" if one.saved[1] > burned * winters else "so all of it may be burned"
    house = f"The house burns {burns}; {rest}." if burned > 0 else ""
    return (
        f"{words.answer(lost)} would lie before the first winter. {words.answer(saved)} of it may be whole and in "
        f"reach; for {winters:.0f} winters it can be brought home before it rots: do that before any other cut.",
        house,
        "That wood and its days are in no column.",
    )


WHY: dict[str, Callable[[Outcome, Outcome, float, Region], tuple[str, ...]]] = {
    LESS_FIREWOOD: _less,
    MORE_FIREWOOD: _more,
    ASH_GONE: _ash,
    UNCHECKED: _browsed,
    FENCED: _fenced,
    DRY_DECADE: _dry,
    WINDSTORM: _wind,
}


def _down(region: Region) -> str:
    years = what_ifs.figure(ASH_GONE, "down_within_yr", region)
    return (
        "when the borer comes (here at once), which trees outlive it, and what grows in their place. Four of five dead "
        f"ash trees are down within {years:.0f} years."
    )


#: What is not known of each, after "Not known:".
UNKNOWN: dict[str, Callable[[Region], str]] = {
    LESS_FIREWOOD: lambda region: "how long the house keeps to it; here it is all the years.",
    MORE_FIREWOOD: lambda region: "how long the house keeps to it; here it is all the years.",
    ASH_GONE: _down,
    UNCHECKED: lambda region: (
        "which kinds get through, and whether suckers and seedlings in patches outgrow the deer: here patches come "
        "back as if they did. What there is to eat is told by cover and cuts alone; of more deer each gets less."
    ),
    FENCED: lambda region: (
        "what the fence costs and its days of work, which are in no column; how soon young trees reach 5 inches, here "
        "at once; what the deer eat next door."
    ),
    DRY_DECADE: lambda region: (
        "whether and when; here it begins now. Oaks lose less than maples and pines. No figure for these woods was "
        "seen: the sizes are chosen by this project."
    ),
    WINDSTORM: lambda region: (
        "whether and when; here it comes before the first winter. That large trees and softwoods fall first is "
        "published, how many fall is chosen by this project."
    ),
}
