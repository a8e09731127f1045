"""What is said of the heat of the house.

heat                 warm this winter or not, why, and what to cut for the next
heap, measured       where wood lies and when it is dry; what the tape said of a stack
heat_tables_differ   why other people's heat tables differ
"""

from collections.abc import Sequence

from woodlot.region import Region
from woodlot.say.reasons import plain, said
from woodlot.say.words import amount, day, id_list, noun, range_words, rounded, winter_of
from woodlot.trade import GONE_KINDS
from woodlot.wood.heating import Household
from woodlot.wood.on_hand import BURNED, DRY, GIVEN, Heap
from woodlot.wood.woodpile import HOME, WOODS, Measured

__all__ = ["heap", "heat", "heat_tables_differ", "measured"]


def heat(house: Household) -> tuple[str, str, str] | None:
    """What is short or that there is enough, what the house needs, and why; None where nobody told the need."""
    needed, short = house.needed, house.short
    if needed is None or needed.value is None or short is None or short.value is None:
        return None
    number = f"{amount(short.value, 'cords')} short" if short.value > 0 else "Enough dry wood"
    spread = f"the house needs {rounded(needed.value, 'cords')}"
    spread += f"; {range_words(plain(needed))}" if needed.low is not None else ""
    drying = amount(house.drying_cords, "cords") if house.drying_cords > 0 else "nothing"
    why = (
        (f"{_dry(house)}; the need is {said(needed.why)}.", True),
        (f"{amount(house.burned_cords, 'cords')} burned already this winter.", house.burned_cords > 0),
        (f"{amount(house.given_cords, 'cords')} given away this winter.", house.given_cords > 0),
        (_in_heat(house), house.needed_mmbtu is not None),
        (" ".join(map(measured, house.measured)), bool(house.measured)),
        ("A stack measured since takes the place of dry_cord.", house.count_left),
        (f"What the ledger has dry by {'that day' if house.dry_on else 'now'} is taken to be in it.", house.in_count),
        ("Past winters without a note of burning are taken to have burned the need.", house.past_cords > 0),
        ("Wood noted only as cut is taken as split and stacked that day.", house.cut_only),
        ("Wood that is not named is taken as hard maple.", house.not_named),
        (_cut_lines(house), house.drying_cords > 0 or house.later_cords > 0),
        (f"For the next winter {drying} {'are' if drying.endswith('s') else 'is'} drying: {_cut_now(house)}", True),
    )
    return number, spread, " ".join(sentence for sentence, holds in why if holds and sentence)


def _in_heat(house: Household) -> str:
    """The balance in gross heat, in which a cord of light wood is worth less."""
    need, short = (rounded(one or 0.0, "million Btu") for one in (house.needed_mmbtu, house.short_mmbtu))
    burned = f"{rounded(house.burned_mmbtu, 'million Btu')} burned, " if house.burned_mmbtu else ""
    dry = rounded(house.dry_mmbtu, "million Btu")
    return f"In heat: {need} million Btu needed, {burned}{dry} dry, {short if house.short_mmbtu else 'none'} short."


#: Lines of the ledger that are named one by one.
MOST_LINES = 6
_WHERE = {WOODS: "Cut, in the woods", HOME: "At home, not split", BURNED: "Burned this winter", GIVEN: "Given away"}


def heap(of: Heap) -> str:
    """Where wood lies and which winter finds it dry; what went this winter."""
    if of.where == DRY:
        return "Dry now"
    if of.where in GONE_KINDS:
        return _WHERE[of.where]
    when = "not dry in five years as it lies" if of.by_winter is None else f"dry by winter {winter_of(of.by_winter)}"
    where = _WHERE.get(of.where, "Split and stacked, drying")
    if of.where in (WOODS, HOME) and of.by_winter is not None:
        when = f"{when} if split and stacked at once"
    return f"{where}: {when}"


def measured(of: Measured) -> str:
    """What the tape said of a stack, and by how much the lines before it were off."""
    wood = f" of {of.species}" if of.species else ""
    brought = f" and {amount(of.brought_cords, 'cords')} noted as cut, hauled or split" if of.brought_cords else ""
    off = of.off_cords
    right = "as the book had it" if abs(off) < 0.05 else f"{amount(abs(off), 'cords')} {'more' if off > 0 else 'less'}"
    than = "" if abs(off) < 0.05 else f" than the {amount(of.counted_cords, 'cords')} stacked{brought} in the book"
    holds = amount(of.cords, "cords")
    return f"The stack{wood} measured on {day(of.day)} ({_lines(of.lines)}) holds {holds}, {right}{than}."


def _lines(numbers: Sequence[int]) -> str:
    return f"{noun(len(numbers), 'line')} {id_list([*map(str, numbers)], MOST_LINES)}"


def _dry(house: Household) -> str:
    """Dry wood, its range and who says so."""
    if not house.dry_from:
        return "No dry wood is noted, in place.toml or in the ledger"
    on = f" of {day(house.dry_on)}" if house.dry_on else ""
    by = " and ".join(
        {"place.toml": f"what place.toml says{on}", "ledger": "the ledger"}[one] for one in house.dry_from
    )
    low, high = house.dry_low_cords, house.dry_high_cords
    ends = f"{rounded(low, 'cords')} to {rounded(high, 'cords')}, assumptions"
    spread = f" ({ends})" if high - low > 1e-9 else ""
    return f"{amount(house.dry_cords, 'cords')} dry{spread}, by {by}"


def _cut_lines(house: Household) -> str:
    """Of wood noted as cut or hauled only and not dry yet: which winter it is for, line by line."""
    green = [one for one in house.wood if one.where in (WOODS, HOME) and one.by_winter is not None]
    told = [
        f"{amount(one.cords, 'cords')} of {_lines(one.lines)} for winter {winter_of(one.by_winter or 0)}"
        for one in green
    ]
    return f"Noted as cut and not dry yet: {'; '.join(told)}." if told else ""


def _cut_now(house: Household) -> str:
    if not house.cut_now_cords:
        return "no more need be cut for it."
    return f"cut {amount(house.cut_now_cords, 'cords')} now. Wood cut now burns next winter or later."


def heat_tables_differ(region: Region) -> list[str]:
    """Why heat tables of one species disagree: a first sentence on all, then one on each table."""
    first = "Heat tables of one species differ by 10 to 25 percent from definition alone: solid feet, water, basis."
    return [first, *region.table("heat_tables")["words"].astype(str)]
