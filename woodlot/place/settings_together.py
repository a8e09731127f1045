"""Keys of place.toml that hang on one another: what a key needs beside it, and which of two ways goes first.

beside_each_other   keys that say nothing by themselves, and lows above their highs
set_aside           ways to give the need for heat that another way goes before
"""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from woodlot.place.remedies import short

__all__ = ["beside_each_other", "set_aside"]

#: Keys that say nothing by themselves -> those of which one has to stand beside them.
BESIDE = {
    "needs.firewood_low_cord": ("firewood_cord",),
    "needs.firewood_high_cord": ("firewood_cord",),
    "needs.dry_on": ("dry_cord",),
    "needs.season_gone_pct": ("burned_cord",),
    "needs.house_loss_btu_per_h_f": ("degree_days_f",),
    "needs.degree_days_f": ("house_loss_btu_per_h_f",),
    "needs.stove_pct": ("house_loss_btu_per_h_f", "oil_gal", "propane_gal", "electric_kwh"),
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
