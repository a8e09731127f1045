"""Wishes of the family and the sugarbush in words.

of_stand    a wish for a stand or a part of it
wood        what stands on the ground of a wish
row         the first screen's row on wood that wishes hold
sugarbush   taps, syrup and what was noted
sap_row     the first screen's row on the sugarbush
"""

from collections.abc import Sequence

from woodlot.estimate import Number
from woodlot.region import Region
from woodlot.say import words
from woodlot.say.plan_reasons import shut_words
from woodlot.say.words import capital
from woodlot.trade import CUT_FIRST, KEEP, LEAVE_DEAD, NEVER_CUT, SHUT, SUGARBUSH, VIEW, WISHES
from woodlot.wood.sugarbush import Noted

__all__ = ["of_stand", "row", "sap_row", "sugarbush", "wood"]

#: What a wish does to a stand, and where the wood under it stands.
DOES = {
    NEVER_CUT: "",
    KEEP: "",
    SUGARBUSH: "thinned for crowns, maples last",
    VIEW: "no patches, single trees only",
    CUT_FIRST: "before other stands, where it may be cut",
    LEAVE_DEAD: "none is on any list",
}
WHERE = {
    NEVER_CUT: "where you never cut",
    KEEP: "where you wish no cut yet",
    SUGARBUSH: "in the sugarbush",
    VIEW: "where you wish a view",
    CUT_FIRST: "where you wish to cut first",
    LEAVE_DEAD: "where dead trees stay",
}


def of_stand(wish: str, until: int | None, acres: float, of_ac: float, whole: bool) -> str:
    """A wish in one sentence: ``Never cut: 5.3 of its 12.0 acres, your wish.``"""
    head = capital(shut_words(wish, until))
    part = "" if whole else f"{acres:.1f} of its {of_ac:.1f} acres"
    rest = ", ".join(filter(None, (part, DOES[wish], "your wish")))
    return f"{head}: {rest}." if part or DOES[wish] else f"{head}, {rest}."


def wood(wish: str, acres: float, acres_without: float, cords: Number) -> str:
    """What stands on the ground of a wish, which is in what stands in all."""
    if cords.value is None:
        return f"{words.amount(acres, 'acres')} {WHERE[wish]}: no plot stands there yet."
    bare = f" {words.amount(acres_without, 'acres')} of it have no plots." if acres_without >= 0.05 else ""
    number = f"{words.amount(cords.value, 'full cords')} ({words.range_words(cords)})"
    return f"Of what stands, {number} are on {words.amount(acres, 'acres')} {WHERE[wish]}.{bare}"


def row(
    held: Sequence[tuple[str, float, Number, str]], stands: Sequence[tuple[str, str, float, bool]]
) -> tuple[str, str, str] | None:
    """Number, range and why of the wood that wishes hold.

    held: wish, acres, cords and words; stands: stand, wish, acres under it, and whether that is all of it.
    """
    shut = [one for one in held if one[0] in SHUT]
    if not shut:
        return None
    wish, acres, cords, _ = shut[0]
    ground = f"{words.amount(acres, 'acres')} {shut_words(wish, None)}"
    number, told = words.amount(cords.value, "full cords"), f"{words.range_words(cords)}; {ground}"
    if cords.value is None:
        number, told = ground, words.range_words(cords)
    kept = "What stands there is in the sum above and in no cut."
    return number, told, " ".join([kept, *(text for *_, text in shut[1:]), *_where(stands)])


def _where(stands: Sequence[tuple[str, str, float, bool]]) -> list[str]:
    """The stands of each wish; acres of those that it holds in part."""
    named: dict[str, list[str]] = {}
    for stand, wish, acres, whole in stands:
        named.setdefault(WISHES[wish].one, []).append(stand if whole else f"{stand} ({acres:.1f} acres)")
    return [f"{capital(wish)}: {words.noun(len(ids), 'stand')} {words.listed(ids)}." for wish, ids in named.items()]


def sugarbush(
    taps: Number, syrup: Number, unsound: float, told: Noted, of_noted: Number | None, region: Region
) -> tuple[str, ...]:
    """Taps by the size of sound maples, the syrup they may give, and what the ledger notes."""
    sizes = region.table("sugarbush_taps").sort_values("from_in").to_dict("records")
    by = " and ".join(f"{one['taps']:.0f} from {one['from_in']:g} inches" for one in sizes)
    out = []
    if taps.value is None:
        out.append(f"No number of taps yet: {taps.why}.")
    elif not taps.value:
        out.append(f"No tap yet: no sound maple on its plots is thick enough ({by}).")
    else:
        out.append(f"{words.amount(taps.value, 'taps')} ({words.range_words(taps)}) on sound maples: {by}.")
        out.append(f"{_gallons(syrup)} a spring: {syrup.why}.")
    if unsound >= 1:
        out.append(
            f"Another {words.amount(unsound, 'taps')} would be on maples noted as rotten, dying or broken: not counted."
        )
    if told.taps is not None and told.taps_on is not None and of_noted is not None:
        out.append(
            f"You noted {words.plural(told.taps, 'tap')} on {words.day(told.taps_on.date())}: "
            f"{_gallons(of_noted)} a spring."
        )
    if told.spring is not None:
        made = [(told.sap_gal, "gallons of sap"), (told.syrup_gal, "gallons of syrup")]
        out.append(f"Noted in {told.spring}: {words.listed(f'{n:,.6g} {unit}' for n, unit in made if n)}.")
    return tuple(out)


def _gallons(of: Number) -> str:
    return f"{words.amount(of.value, 'gallons of syrup')} ({words.range_words(of)})"


def sap_row(of: Sequence[tuple[str, Number, Sequence[str]]]) -> tuple[str, str, str]:
    """Number, range and why of the sugarbush; of: stand, taps and words of each."""
    stand, taps, said = of[0]
    number, _, because = said[0].partition(": ")
    first = [capital(because), *said[1:]]
    if taps.value:
        number, first = words.amount(taps.value, "taps"), list(said[1:])
    more = [f"Stand {one}: {' '.join(text)}" for one, _, text in of[1:]]
    where = f"Stand {stand}."
    return number, words.range_words(taps) if taps.value else "", " ".join([where, *first, *more])
