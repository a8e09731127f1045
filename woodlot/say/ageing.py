"""How a stand ages, in words: until when it is worth waiting for, when it falls apart, what follows, never one year.

breaks_up      a stand of kinds that break up at an age
few_reach      a stand of other kinds that few trees of its age reach
due_line       the first sentence of it; ages_line: when a kind falls apart
age_asked      a stand whose age nobody wrote
briefly        all stands, each kind's ages once
account        what lives, grows in and dies on a mean acre
"""

from collections.abc import Iterable, Sequence

from woodlot.say import words

__all__ = ["account", "age_asked", "ages_line", "breaks_up", "briefly", "due_line", "few_reach"]

PACE = {
    "fast": " Much of it stands dead, so the early end is the likelier.",
    "slow": " Little of it stands dead, so the late end is the likelier.",
    "mid": "",
}
ASKED = "its age is not written, so nobody can say when it falls apart"


def breaks_up(
    kind: str,
    age_yr: float,
    latest_cut_yr: float,
    onset_yr: Sequence[float],
    half_yr: Sequence[float],
    pace: str,
    due: str,
    brush: bool,
) -> str:
    """Words of a stand that breaks up; onset_yr and half_yr: fast and slow; due: "waits", "due" or "past"."""
    begins = "" if due == "past" else f"it begins to fall apart at {onset_yr[0]:g} to {onset_yr[1]:g}, and "
    range_words = words.capital(f"{begins}half of it is gone at {half_yr[0]:g} to {half_yr[1]:g} years (assumptions).")
    follows = (
        ""
        if due == "waits"
        else (
            " Brush follows where it falls: no sapling and no small tree of another kind was tallied."
            if brush
            else " Its other kinds and what stands small under it go on."
        )
    )
    return f"{due_line(kind, age_yr, latest_cut_yr, due)} {range_words}{PACE[pace]}{follows}"


def due_line(kind: str, age_yr: float, latest_cut_yr: float, due: str) -> str:
    """What is to be done with a stand that breaks up; due: "waits", "due" or "past"."""
    due_words = {
        "waits": f"worth cutting before age {latest_cut_yr:g}",
        "due": "due now",
        "past": "falling apart: take what is wanted soon, or leave it",
    }[due]
    return f"{words.capital(kind)} of {age_yr:.0f} years, {due_words}."


def ages_line(kind: str, onset_yr: Sequence[float], half_yr: Sequence[float]) -> str:
    """When a kind falls apart, at a fast and at a slow pace."""
    return (
        f"{words.capital(kind)} begins to fall apart at {onset_yr[0]:g} to {onset_yr[1]:g} years, and half of it is "
        f"gone at {half_yr[0]:g} to {half_yr[1]:g} (assumptions)."
    )


def briefly(stands: Iterable[tuple[str, str, str]]) -> tuple[str, ...]:
    """Stands that say the same in one line, then what is true of each kind once; of each: stand_id, its line, and what
    is to be said of its kind ("" for nothing).
    """
    by_line: dict[str, list[str]] = {}
    kinds: dict[str, None] = {}
    for stand_id, line, of_kind in stands:
        by_line.setdefault(line, []).append(stand_id)
        kinds |= {of_kind: None} if of_kind else {}
    told = (f"{words.noun(len(ids), 'Stand')} {words.listed(ids)}: {line}" for line, ids in by_line.items())
    return *told, *kinds


def age_asked(kind: str, years: float) -> str:
    """Words of a stand that breaks up at an age that nobody wrote."""
    return f"{words.capital(kind)}: {ASKED}. Nothing beyond {years:g} years is foretold; later it counts as it is then."


def few_reach(kind: str, age_yr: float, share: float) -> str:
    """Words of a stand that is older than most trees of its kind become."""
    return f"{words.capital(kind)} of {age_yr:.0f} years: about {100.0 * share:.0f} in 100 such trees reach that age."


def account(years: int, survivor: float, ingrowth: float, mortality: float, broken_cords: float) -> str:
    """What a mean acre gains and loses a year [sq ft], and what breaks up in all the years [cords]."""
    told = (
        f"A mean acre, uncut, over {years} years: trees that live add {survivor:.1f} sq ft a year, young ones "
        f"{ingrowth:.1f}; deaths take {mortality:.1f}."
    )
    if broken_cords < 0.05:
        return told
    return f"{told} {words.amount(broken_cords, 'cords')} fall apart by age; no cut that is to last counts them."
