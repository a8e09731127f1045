"""Why a number is as it is, or is not there, in words: one sentence a key, without a capital and a full stop.

WORDS   key of a Reason -> what makes its sentence of the facts
said    a Reason in words
plain   an Estimate as an answer holds it, its reason in words
"""

from collections.abc import Callable, Mapping

from woodlot.estimate import Estimate, Number, Reason
from woodlot.say import cruise, ground, growth, plan_reasons

__all__ = ["WORDS", "plain", "said"]


def _too_few(of: str, n: int, least: int) -> str:
    have = f"one {of} has" if n == 1 else f"{n} {of}s have"
    return f"{have} no range of their own; {least} would give a first one"


def _all_the_same(n: int | None = None) -> str:
    return f"all {f'{n} ' if n else ''}samples gave the same, so their spread cannot be told"


WORDS: Mapping[str, Callable[..., str]] = {
    # any estimate
    "too few": _too_few,
    "no spread": lambda: "the spread between samples is not known",
    "none found": lambda: "none was found on any plot",
    "nothing found": lambda: "nothing was found on any plot",
    "spread of few": lambda: "too few samples to tell their spread",
    "all the same": _all_the_same,
    "parts without error": lambda of, parts: f"{of} of {parts} parts have no standard error of their own",
    "times zero": lambda: "nothing to multiply by",
    "together": lambda parts: "; ".join(words for words in map(said, parts) if words),
    "no shared error": lambda: "no error is shared by all plots",
    **ground.WORDS,
    **cruise.WORDS,
    **growth.WORDS,
    **plan_reasons.WORDS,
}


def said(why: Reason | str | None) -> str:
    """A reason in words; nothing where there is none."""
    if why is None or isinstance(why, str):
        return why or ""
    return WORDS[why.key](**{name: said(fact) if isinstance(fact, Reason) else fact for name, fact in why.facts})


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
        why=said(estimate.why),
    )
