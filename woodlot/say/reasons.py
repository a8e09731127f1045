"""Why a number is as it is, or is not there, in words: one sentence a key, without a capital and a full stop.

WORDS   key of a Reason -> what makes its sentence of the facts; a fact that is a Reason or an Estimate comes worded
said    a Reason in words
plain   an Estimate as an answer holds it, its reason in words
worded  a result of the chapters as an answer holds it: plain numbers, reasons in words, all the way down
"""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from woodlot.estimate import Estimate, Number, Reason
from woodlot.say import (
    cruise,
    deer,
    deer_food,
    futures,
    ground,
    group,
    growth,
    hunt,
    marking,
    measure_deer,
    meat,
    next_forest,
    noted,
    plan_reasons,
    plot_times,
    raster_at_plots,
    since_plan,
    woodpile,
    years_told,
)
from woodlot.say.words import amount, rounded, two_figures
from woodlot.species import either

__all__ = ["WORDS", "plain", "said", "worded"]


def _too_few(of: str, n: int, least: int) -> str:
    have = f"one {of} has no range of its" if n == 1 else f"{n} {of}s have no range of their"
    return f"{have} own; {least} would give a first one"


def _all_the_same(n: int | None = None) -> str:
    return f"all {f'{n} ' if n else ''}samples gave the same, so their spread cannot be told"


def _stands(stands: tuple[str, ...]) -> str:
    return f"stand{'s' * (len(stands) > 1)} {', '.join(stands)}"


def _of(got: float, wanted: float, product: str) -> str:
    return f"{got:g} of {wanted:g} {product}s"


def _smaller(got: float, wanted: float, product: str, top_in: float | None, length_ft: float | None) -> str:
    long = "" if length_ft is None else f" of {length_ft:g} ft"
    top = "" if top_in is None else f" with a top of {top_in:g} in"
    return f"{_of(got, wanted, product)}; there would be {wanted:g}{long}{top}"


def _from_heat(known: tuple[str, ...], mmbtu_per_cord: float, solid_cuft_per_cord: float, stove_pct: float) -> str:
    known_by = f"a year's {' and '.join(known)}" if known else "the house's loss and degree-days"
    cord = f"{mmbtu_per_cord:.1f} million Btu a cord gross at {solid_cuft_per_cord:.4g} cubic feet"
    return f"from {known_by}; {cord}, stove {stove_pct:.0f}%"


WORDS: Mapping[str, Callable[..., str]] = {
    # any estimate
    "too few": _too_few,
    "no spread": lambda: "the spread between samples is not known",
    "none found": lambda: "none was found on any plot",
    "nothing found": lambda: "nothing was found on any plot",
    "spread of few": lambda: "too few samples to tell their spread",
    "all the same": _all_the_same,
    "parts without error": lambda of, parts: f"no range: {of} of {parts} parts have too few plots for one",
    "times zero": lambda: "nothing to multiply by",
    "together": lambda parts: "; ".join(words for words in map(said, parts) if words),
    "no shared error": lambda: "no error is shared by all plots",
    # what stands, stands together
    "no plot yet": lambda: "no plot here yet; three would give a first figure",
    "nothing on plots": lambda plots: f"nothing on {'the one plot' if plots == 1 else f'any of the {plots} plots'}",
    "seen on few": lambda holding, plots, value, unit: (
        f"seen on {holding} of {plots} plots, about {rounded(value, unit)}"
        if holding
        else f"named on none of its plots: about {rounded(value, unit)}, shared out by the kinds that were named"
    ),
    "held by few": lambda holding, plots: f"on {holding} of {plots} plots: about; for a sale tally all of them",
    "none met": lambda plots: f"none met on its {plots:,} plots" if plots > 1 else "none met on its one plot",
    "shared out": lambda value, part, unit, kinds: (
        f"of these {amount(value, unit)}, {rounded(part, unit)} are {either(kinds)} shared out by the kinds seen "
        "beside them"
    ),
    "usual spread": lambda: "range from a usual spread, not from these plots",
    "acres without plots": lambda acres: f"{acres:,.1f} acres have no plots and are left out",
    # what is missing of a line of the household's list
    "short of it": lambda short, unit, most: (
        f"{amount(short, unit)} short; all of these trees for it alone give {two_figures(most)}"
    ),
    "chips of limbs": lambda short: (
        f"{amount(short, 'cubic yards')} short: chips come from limbs and tops alone; no stem is chipped unless "
        "[needs] says chip_stems = true"
    ),
    "a smaller size": _smaller,
    "no more lasting wood": lambda **line: f"{_of(**line)}; no more lasting wood of that size in this tally",
    "lines before it": lambda most, **line: (
        f"{_of(**line)}; these trees have {most:g} of that size, and lines above this one in the list come first"
    ),
    "most of that size": lambda most, **line: f"{_of(**line)}; these trees have {most:g} of that size at most",
    # cords the house burns
    "as written": lambda: "as you wrote it",
    "this season so far": lambda: "from this season so far by degree-days",
    "from heat": _from_heat,
    **ground.WORDS,
    **group.WORDS,
    **cruise.WORDS,
    **plot_times.WORDS,
    **raster_at_plots.WORDS,
    **growth.WORDS,
    **futures.WORDS,
    **plan_reasons.WORDS,
    **marking.WORDS,
    **deer.WORDS,
    **deer_food.WORDS,
    **hunt.WORDS,
    **measure_deer.WORDS,
    **meat.WORDS,
    **next_forest.WORDS,
    **noted.WORDS,
    **since_plan.WORDS,
    **woodpile.WORDS,
    **years_told.WORDS,
}


def said(why: Reason | str | None) -> str:
    """A reason in words; nothing where there is none."""
    if why is None or isinstance(why, str):
        return why or ""
    return WORDS[why.key](**{name: worded(fact) for name, fact in why.facts})


def plain(estimate: Estimate | None) -> Number:
    """An Estimate as an answer holds it; None for nothing measured. A range of assumptions carries no level."""
    if estimate is None:
        return Number()
    return Number(
        value=estimate.value,
        low=estimate.low,
        high=estimate.high,
        unit=estimate.unit,
        kind=estimate.kind,
        level=None if estimate.kind == "assumptions" else estimate.level,
        n=int(estimate.n),
        why=_at_most(estimate) + said(estimate.why),
    )


def _at_most(estimate: Estimate) -> str:
    """The most there may be of what none was seen of."""
    if estimate.low is not None or estimate.high is None:
        return ""
    return f"at most about {amount(estimate.high, estimate.unit)}; "


def worded(result: Any) -> Any:
    """A result with its Estimates as Numbers and its Reasons in words."""
    if isinstance(result, Reason):
        return said(result)
    if isinstance(result, Estimate):
        return plain(result)
    if is_dataclass(result) and not isinstance(result, type):
        return type(result)(**{field.name: worded(getattr(result, field.name)) for field in fields(result)})
    if isinstance(result, tuple):
        return tuple(map(worded, result))
    if isinstance(result, Mapping):
        return {key: worded(value) for key, value in result.items()}
    return result
