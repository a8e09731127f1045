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
from woodlot.say import cruise, deer, ground, growth, hunt, plan_reasons

__all__ = ["WORDS", "plain", "said", "worded"]


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
    **deer.WORDS,
    **hunt.WORDS,
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
        why=said(estimate.why),
    )


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
