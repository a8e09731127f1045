"""What is said of the yearly cut as a whole: what it is made of, what holds it, what would change it.

parts      each part beside its number, and their sum; each: the same of a parcel or a stand
why        the one sentence on what holds it
beside     what is cut outside it
with_cores, asked, first_seen   what cores would bring, which residual is asked for, what the first cruise saw
"""

from collections.abc import Mapping, Sequence

from woodlot.estimate import Number
from woodlot.plan.level_cut import LevelCut
from woodlot.say import words

__all__ = ["asked", "beside", "each", "first_seen", "parts", "why", "with_cores"]

YEAR = "cords a year"
#: Less than this much of the limit is not spoken of.
LITTLE = 0.02
#: Up to here the sum is told to a tenth of a cord, above to a cord.
FEW_CORDS = 10.0
HELD = " (this holds it)"
NOTHING = "No stand here has plots and may be cut year by year."
HOLDS = {
    "growth": "growth: in nine cases of ten these stands together grow at least that much{pull}.",
    "area": "the area check: of all these stands together a third each cutting cycle.",
    "meyer": "Meyer's: all these stands together are led to what they should hold in a cutting cycle.",
    "reach": "what stands, and grows in the years until the next cruise, over what each stand keeps.",
}


def parts(of: Mapping[str, Number], rule: LevelCut) -> tuple[str, ...]:
    """Lines of the parts of the limit, which add up to it; of: ``Yearly.whole``."""
    if of["growth"].value is None:
        return tuple(each(of))
    told: list[str] = []
    if rule.binds != "none":
        told.append(f"Thinned year by year: {words.amount(rule.level_cords, YEAR)}, the least of four")
        told += [f"{i}. {line}" for i, line in enumerate(_four(of, rule), 1)]
    if rule.by_area_cords > 0:
        told.append(f"Cut by area: {words.amount(rule.by_area_cords, YEAR)}, acres over the years one crop takes")
    if rule.binds != "none" and rule.by_area_cords > 0:
        told.append(_sum(rule))
    if rule.binds == "none" and not rule.by_area_cords > 0:
        told.append(NOTHING.rstrip("."))
    if of["bdft"].value is not None:
        told.append(f"In boards, of all of it: {words.answer(of['bdft'])}")
    return tuple(told)


def each(of: Mapping[str, Number]) -> tuple[str, ...]:
    """Lines of the parts side by side, of a parcel or a stand; of: its Estimates as ``Yearly.whole``."""
    names = {"growth": "growth", "area": "area check", "meyer": "Meyer's", "bdft": "in boards"}
    return tuple(f"{name}: {words.answer(of[key])}" for key, name in names.items() if of[key].value is not None)


def _four(of: Mapping[str, Number], rule: LevelCut) -> tuple[str, ...]:
    """The four of which the least holds the level cut, each explained once."""
    low, pulled = max(rule.low_growth, 0.0), rule.pull_cords
    led = ""
    if pulled:
        way = "more" if pulled > 0 else "less"
        lead, by = words.rounded(low, YEAR), words.rounded(abs(pulled), YEAR)
        led = f"That is {lead} of growth and {by} {way}, since {way} stands than they should hold. "

    def much(key: str, cords: float) -> str:
        return words.amount(max(cords, 0.0), YEAR) + HELD * (key == rule.binds)

    return (
        f"growth: {much('growth', low + pulled)}. {led}They grow more nine times in ten (the lower tenth); in the "
        f"middle {words.answer(of['growth'])}",
        f"area check: {much('area', rule.area_cords)}. A third of them each cutting cycle",
        f"Meyer's: {much('meyer', rule.meyer_cords)}. What leads them to the wood they should hold in one cycle",
        f"over what they keep: {much('reach', rule.reach_cords)}, until the next cruise. "
        f"{words.amount(rule.surplus_cords, 'cords')} of it stand today (the standing surplus)",
    )


def _sum(rule: LevelCut) -> str:
    """Both parts and their sum, so fine that they add up, and what that is in the headline's two figures."""
    digits = 1 if rule.cords_per_yr < FEW_CORDS else 0
    one, two = (round(cords, digits) for cords in (rule.level_cords, rule.by_area_cords))
    fine, told = f"{one + two:,.{digits}f}", words.rounded(rule.cords_per_yr, YEAR)
    about = "" if fine == told else f", about {told}"
    return f"Together: {one:,.{digits}f} + {two:,.{digits}f} = {fine} {YEAR}{about}"


def why(rule: LevelCut) -> str:
    """What holds the limit, in one or two sentences."""
    both = rule.by_area_cords > 0
    if rule.binds == "none":
        return "All of it is cut by area: acres over the rotation." if both else NOTHING
    if rule.binds == "growth" and not rule.level_cords > 0:
        return "What these stands grow at its lower tenth, less what is missing to their goal, leaves nothing to cut."
    pulled = abs(rule.pull_cords) > LITTLE * max(rule.low_growth, 0.0)
    pull = (
        "" if not pulled else ", and what stands over their goal" if rule.pull_cords > 0 else ", less what is missing"
    )
    holds = HOLDS[rule.binds].format(pull=pull)
    if not both:
        return f"What holds it is {holds}"
    two = words.rounded(rule.level_cords, YEAR), words.rounded(rule.by_area_cords, YEAR)
    return f"{two[0]} of it are thinned year by year, {two[1]} cut by area. What holds the first is {holds}"


def with_cores(rule: LevelCut) -> str:
    """What ten cores would bring."""
    if rule.cords_with_ten_cores <= (1.0 + LITTLE) * rule.cords_per_yr:
        return ""
    return (
        f"Ten cores would make it {words.amount(rule.cords_with_ten_cores, YEAR)}, if they find what was assumed; they "
        "may find less."
    )


def asked(by_residual: Sequence[tuple[str, float, float, float, float]]) -> tuple[str, ...]:
    """Which basal area the family wishes to keep, where that is only chosen and it matters."""
    return tuple(
        f"How dense to keep {cover} is yours to say: at {low:.0f} sq ft an acre "
        f"{words.amount(at_low, YEAR)} in all, at {high:.0f} {words.amount(at_high, YEAR)}. Write which you want into "
        "place.toml, under [[leave]]."
        for cover, low, at_low, high, at_high in by_residual
    )


def beside(cords_by_stand: Mapping[str, float]) -> str:
    """What dies, lies thrown or breaks up, by stand."""
    if not cords_by_stand:
        return ""
    where = f"{words.noun(len(cords_by_stand), 'stand')} {words.listed(cords_by_stand)}"
    about = words.amount(sum(cords_by_stand.values()), "full cords")
    return (
        f"Outside it: about {about} that die or break up in {where}: "
        "take them soon or leave them. They are in no lasting cut."
    )


def first_seen(rule: LevelCut) -> str:
    """What the first cruise saw, where more stood then."""
    if not rule.first_cords > (1.0 + LITTLE) * rule.stock_cords:
        return ""
    return (
        f"The first cruise saw {words.amount(rule.first_cords, 'cords')} in these stands, now there are "
        f"{words.amount(rule.stock_cords, 'cords')}."
    )
