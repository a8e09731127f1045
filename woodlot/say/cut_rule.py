"""What is said of the yearly cut as a whole: what it is made of, what holds it, what would change it.

parts      each part beside its number
why        the one sentence on what holds it
beside     what is cut outside it
with_cores, asked, first_seen   what cores would bring, which residual is asked for, what the first cruise saw
"""

from collections.abc import Mapping, Sequence

from woodlot.estimate import Number
from woodlot.plan.level_cut import LevelCut
from woodlot.say import words

__all__ = ["asked", "beside", "first_seen", "parts", "why", "with_cores"]

YEAR = "cords a year"
#: Less than this much of the limit is not spoken of.
LITTLE = 0.02
HOLDS = {
    "growth": "What holds it is growth, at the lower tenth of what all these stands together may grow{pull}.",
    "area": "What holds it is the area check: of all these stands together a third each cutting cycle.",
    "meyer": "What holds it is Meyer's: all these stands together are led to what they should hold in a cutting cycle.",
    "reach": "What holds it is what stands, and grows in the years until the next cruise, over what each stand keeps.",
    "none": "All of it is cut by area: acres over the rotation.",
}


def parts(of: Mapping[str, Number], rule: LevelCut | None) -> tuple[str, ...]:
    """Lines of the parts of the limit; of: ``Yearly.whole`` or of some stands; rule: None where not all are shown."""
    told = {
        "net growth": words.answer(of["growth"]),
        "area": words.answer(of["area"]),
        "Meyer": words.answer(of["meyer"]),
    }
    if rule is not None and of["growth"].value is not None:
        told["net growth"] += f"; lower tenth {words.amount(max(rule.low_growth, 0.0), YEAR)}"
        told["toward the goal"] = _pull(rule)
        told["standing surplus"] = (
            f"{words.amount(rule.surplus_cords, 'cords')} over what stands keep today, "
            f"{words.amount(rule.reach_cords, YEAR)} until the next cruise"
        )
        if rule.by_area_cords > 0:
            told["cut by area beside it"] = words.amount(rule.by_area_cords, YEAR)
    if of["bdft"].value is not None:
        told["in boards"] = words.answer(of["bdft"])
    return tuple(f"{name}: {line}" for name, line in told.items())


def _pull(rule: LevelCut) -> str:
    if abs(rule.pull_cords) <= LITTLE * max(rule.low_growth, 0.0) or rule.pull_cords == 0:
        return "nothing added or taken off"
    what = (
        "added, since more stands than the goal" if rule.pull_cords > 0 else "taken off, since less stands than should"
    )
    return f"{words.amount(abs(rule.pull_cords), YEAR)} {what}"


def why(rule: LevelCut) -> str:
    """What holds the limit, in one sentence."""
    if rule.binds == "none" and not rule.by_area_cords > 0:
        return "No stand here has plots and may be cut year by year."
    if rule.binds == "growth" and not rule.level_cords > 0:
        return "What these stands grow at its lower tenth, less what is missing to their goal, leaves nothing to cut."
    pulled = abs(rule.pull_cords) > LITTLE * max(rule.low_growth, 0.0)
    pull = (
        "" if not pulled else ", and what stands over their goal" if rule.pull_cords > 0 else ", less what is missing"
    )
    return HOLDS[rule.binds].format(pull=pull)


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
