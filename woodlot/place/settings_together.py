"""Keys of place.toml that hang on one another: what a key needs beside it, and which of two ways goes first.

beside_each_other   keys that say nothing by themselves, and lows above their highs
set_aside           ways to give the need for heat that another way goes before
what_wood           cords of which nobody said of what wood they are
once_without_day    what is wanted once and bears no day from which notes count
"""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from woodlot.place.remedies import short
from woodlot.region import Region
from woodlot.say.words import amount, listed
from woodlot.trade import USED_UP
from woodlot.wood.heating import need_mmbtu
from woodlot.wood.woodpile import USUAL_MIX

__all__ = ["beside_each_other", "once_without_day", "set_aside", "what_wood"]

#: Keys that are wanted once.
ONCE_KEYS = ("posts", "poles", "sawlogs", "sawlogs_bdft")
#: Keys that give the need as heat.
FROM_HEAT = ("heat_mmbtu", "house_loss_btu_per_h_f", "oil_gal", "propane_gal", "electric_kwh")
#: Keys that say nothing by themselves -> those of which one has to stand beside them.
BESIDE = {
    "needs.firewood_low_cord": ("firewood_cord",),
    "needs.firewood_high_cord": ("firewood_cord",),
    "needs.firewood_of": ("firewood_cord", "burned_cord", *FROM_HEAT),
    "needs.dry_on": ("dry_cord",),
    "needs.chip_stems": ("chips_cuyd",),
    "needs.season_gone_pct": ("burned_cord",),
    "needs.house_loss_btu_per_h_f": ("degree_days_f",),
    "needs.degree_days_f": ("house_loss_btu_per_h_f",),
    "needs.stove_pct": ("house_loss_btu_per_h_f", "oil_gal", "propane_gal", "electric_kwh"),
    "deer.state_year": ("state_per_sqmi",),
    "deer.state_low_per_sqmi": ("state_high_per_sqmi",),
    "deer.state_high_per_sqmi": ("state_low_per_sqmi",),
}
#: Keys of a part whose numbers do not fall in this order.
RISING = (
    ("needs", "firewood_low_cord", "firewood_cord", "firewood_high_cord"),
    ("deer", "state_low_per_sqmi", "state_per_sqmi", "state_high_per_sqmi"),
)
#: Ways to say what a winter burns, in the order in which they are asked: keys it needs, keys that only it reads.
HEAT = (
    (("burned_cord", "season_gone_pct"), ()),
    (("firewood_cord",), ("firewood_low_cord", "firewood_high_cord")),
    (("heat_mmbtu",), ()),
    (("house_loss_btu_per_h_f", "degree_days_f"), ("stove_pct",)),
    ((), ("oil_gal", "propane_gal", "electric_kwh", "stove_pct")),
)


def beside_each_other(
    written: Mapping[str, Any], parts: Mapping[str, Mapping[str, Any]]
) -> Iterator[tuple[str, str, str]]:
    """(key, what stands there, what would be right) of each key that cannot stand as it does.

    written: place.toml as it stands, so that a key with a fault of its own still counts as written; parts: what could
    be read of it.
    """
    for where, others in BESIDE.items():
        part, key = where.split(".")
        if key in parts[part] and not set(others) & set(written[part]):
            remedy = f"Says nothing by itself. Write {' or '.join(others)} beside it, or take it out."
            yield where, short(str(parts[part][key])), remedy
    falls = [one["from_fall"] for one in parts["deer"].get("neighbors") or ()]
    for at, fall in enumerate(falls):
        if fall in falls[:at]:
            yield (
                f"deer.neighbors, number {at + 1}, from_fall",
                str(fall),
                "This fall stands above. Keep one of the two.",
            )
    for part, *keys in RISING:
        there = [(key, parts[part][key]) for key in keys if key in parts[part]]
        for (low, least), (high, most) in pairwise(there):
            if least > most:
                yield f"{part}.{low}", f"{least:g}", f"Larger than {high}, which is {most:g}."


def set_aside(needs: Mapping[str, Any]) -> list[str]:
    """Words on needs of heat that are not read, since another way to give them goes before."""
    given = {key for key, value in needs.items() if value}
    at = next(at for at, (must, _) in enumerate(HEAT) if given.issuperset(must))
    kept = {key for must, more in HEAT[: at + 1] for key in (*must, *more)} | {"firewood_cord"}
    later = [key for must, more in HEAT[at + 1 :] for key in (*must, *more)]
    unread = [key for key in dict.fromkeys(later) if key in given and key not in kept]
    if not unread:
        return []
    verb = "is" if len(unread) == 1 else "are"
    return [f"needs.{', '.join(unread)} {verb} not read: {' with '.join(HEAT[at][0])} goes before."]


def what_wood(needs: Mapping[str, Any], solid_cuft_per_cord: float, *, region: Region) -> list[str]:
    """Asks of what wood the family's cords are, where nobody said it and cords are written."""
    if needs.get("firewood_of") or not (needs.get("firewood_cord") or needs.get("burned_cord")):
        return []
    heat = need_mmbtu(needs, solid_cuft_per_cord, region=region)
    if heat is None or heat.value is None:
        return []
    woods = " and ".join(f"half {name}" for name in USUAL_MIX)
    told = f"Counted as {woods}, {amount(heat.value, 'million Btu')} a winter"
    return [f'needs: cords of what wood? {told}; say it with  firewood_of = "red oak; sugar maple"  or your own.']


def once_without_day(needs: Mapping[str, Any], lists: Mapping[str, Any]) -> list[str]:
    """Says from when notes count for what is wanted once and bears no day."""
    keys = [f"needs.{key}" for key in ONCE_KEYS if needs.get(key)]
    keys += ["needs.pieces"] if any(map(_once, needs.get("pieces") or ())) else []
    wanted = ((part, lists.get(part) or ()) for part in ("wants", "builds"))  # leave is no want
    keys += [part for part, of in wanted if any(_once(one) and not one.get("asked") for one in of)]
    if not keys:
        return []
    verb = "is" if len(keys) == 1 else "are"
    return [
        f"{listed(keys)} {verb} wanted once; notes since the first of May before today are taken off. A part [[wants]] "
        "with asked = DAY lets earlier work count."
    ]


def _once(one: Mapping[str, Any]) -> bool:
    usual = "each year" if one.get("product") in USED_UP and not one.get("by") else "once"
    return (one.get("often") or usual) == "once"
