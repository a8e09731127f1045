"""What is said of the heat of the house.

heat                 warm this winter or not, why, and what to cut for the next
heat_tables_differ   why other people's heat tables differ
"""

from woodlot.region import Region
from woodlot.say.reasons import plain, said
from woodlot.say.words import amount, day, range_words, rounded
from woodlot.wood.heating import Household

__all__ = ["heat", "heat_tables_differ"]


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
        (f"What the ledger has dry by {'that day' if house.dry_on else 'now'} is taken to be in it.", house.in_count),
        ("Past winters without a note of burning are taken to have burned the need.", house.past_cords > 0),
        ("Wood noted only as cut is taken as split and stacked that day.", house.cut_only),
        ("Wood that is not named is taken as hard maple.", house.not_named),
        (f"For the next winter {drying} {'are' if drying.endswith('s') else 'is'} drying: {_cut_now(house)}", True),
    )
    return number, spread, " ".join(sentence for sentence, holds in why if holds)


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


def _cut_now(house: Household) -> str:
    if not house.cut_now_cords:
        return "no more need be cut for it."
    return f"cut {amount(house.cut_now_cords, 'cords')} now. Wood cut now burns next winter or later."


def heat_tables_differ(region: Region) -> list[str]:
    """Why heat tables of one species disagree: a first sentence on all, then one on each table."""
    first = "Heat tables of one species differ by 10 to 25 percent from definition alone: solid feet, water, basis."
    return [first, *region.table("heat_tables")["words"].astype(str)]
