"""What a household asks of its woods, line by line, and which trees people must not fell by hand.

Line, lines      needs of place.toml as lines with a size and a number
asked, line_of   its single needs in their order; one of them as a line
hand_felling     for each tree "" or why it is not for hand felling
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.trade import LOOSE, PRODUCTS, SAWN, WOODS, known
from woodlot.tree.inputs import living
from woodlot.tree.quality import NOT_BY_HAND, limits
from woodlot.wood.products import in_ground

__all__ = ["LOG_LENGTHS", "Line", "asked", "hand_felling", "line_of", "lines", "sides"]

TOPIC = "defaults_needs"
LOG_LENGTHS = (8.0, 10.0, 12.0, 14.0, 16.0)
#: Needs of place.toml that are a number of a product in its usual size.
USUAL = {"posts": "post", "poles": "pole", "sawlogs": "sawlog", "sawlogs_bdft": "board feet"}
USUAL |= {"firewood_cord": "firewood", "chips_cuyd": "chips"}
#: Words in ``mark`` that say a tree hangs, leans or is left as a snag.
DANGER = {"hung": "hung in another tree", "lean": "leaning", "snag": "a snag", "hollow": "hollow", "broken": "broken"}


@dataclass(frozen=True)
class Line:
    """One line of a household's list.

    product: one of ``trade.PRODUCTS``; number: pieces, full cords, cubic yards or board feet; lengths_ft: any of them
    will do; top_in, butt_in: least thin end and largest butt, inside bark; woods: as in products.csv ("any", "lasting",
    "hot", "hardwood", "softwood" or names); in_ground: whether it stands in the ground; soft_top_in: least thin end in
    softwood, where nobody wrote a size; chip_stems: chips may be of stems and not of limbs and tops alone.
    """

    product: str
    number: float
    lengths_ft: tuple[float, ...] = ()
    top_in: float = 0.0
    butt_in: float = np.inf
    woods: str = "any"
    most_cull_pct: float = 100.0
    most_sweep_pct: float = 100.0
    in_ground: bool = False
    purpose: str = ""
    mmbtu: float = 0.0
    soft_top_in: float | None = None
    chip_stems: bool = False

    @property
    def unit(self) -> str:
        """What its number counts."""
        return PRODUCTS[self.product].unit

    @property
    def name(self) -> str:
        """Product, size and wood, as a person writes them on a list, without the number."""
        wood = WOODS[self.woods].one if self.woods in WOODS else f" of {self.woods}"
        if self.woods == "any" and not self.in_ground:
            wood = ""
        if self.unit != "pieces":
            return self.product + wood
        feet = [f"{ft:g}" for ft in self.lengths_ft]
        long = " or ".join(feet) if len(feet) < 3 else f"{feet[0]} to {feet[-1]}"
        return f"{self.product}s {long} ft" + f" by {self.top_in:g} in top" + wood


def lines(needs: Mapping[str, Any], *, region: Region) -> list[Line]:
    """Lines of a household's list from the needs of place.toml, nothing taken off; see ``asked`` and ``line_of``."""
    return [line_of(need, region=region) for need in asked(needs)]


def asked(needs: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The single needs of place.toml that speak of wood, each with product, number and what else is written of it.

    firewood_cord, firewood_hot_cord (of it, wood that burns hot), posts, poles, sawlogs, sawlogs_bdft, chips_cuyd and
    pieces.
    """
    usual = ({"product": what, "number": needs[key]} for key, what in USUAL.items() if needs.get(key))
    stems = {"chip_stems": True} if needs.get("chip_stems") else {}
    out: list[Mapping[str, Any]] = [stems | one for one in usual]
    if needs.get("firewood_hot_cord"):
        out.append({"product": "firewood", "number": needs["firewood_hot_cord"], "hot": True})
    return [*out, *(needs.get("pieces") or [])]


def line_of(need: Mapping[str, Any], *, region: Region) -> Line:
    """A need as a line: product, number and, where written, length_ft, top_in, butt_in, wood, lasting, hot, purpose.

    A size that is not written is the usual one (defaults_needs.csv). What stands in the ground (posts, and what says
    in_ground) is of a lasting wood unless it says another: a fence is to hold its wire for years, not to be full this
    spring. sawn_in: sides of what is sawn square ("8x8"); straight: a word of ``trade.STRAIGHT``, how far it may bow.
    Raises InputError for a product that is not known.
    """
    product = known(str(need["product"]), PRODUCTS, "need")
    number = float(need["number"])
    if not 0 <= number <= 1e6:
        raise InputError(f"how many {product}s? {need['number']!r} is no number that can be met")
    grounded = bool(_or(need.get("in_ground"), in_ground(product, region=region)))
    woods, purpose = _woods(need, grounded), str(need.get("purpose") or "")
    if product in LOOSE:
        return Line(product, number, woods=woods, purpose=purpose, chip_stems=bool(need.get("chip_stems")))
    kind = "sawlog" if product in SAWN else product
    usual_ft = LOG_LENGTHS if kind == "sawlog" else region.figure(TOPIC, f"{kind}_length_ft")
    feet = tuple(float(ft) for ft in np.atleast_1d(_or(need.get("length_ft"), usual_ft)))
    unsized = need.get("top_in") is None and need.get("sawn_in") is None
    usual_butt = region.figure(TOPIC, f"{kind}_butt_in") if kind == "post" or (kind == "pole" and unsized) else np.inf
    butt = _or(need.get("butt_in"), usual_butt)
    soft = region.figure(TOPIC, "sawlog_top_soft_in") if kind == "sawlog" and unsized else None
    bow_in, sawn = _bow_in(need, feet[0], region=region), need.get("sawn_in")
    top = need.get("top_in") if not sawn else math.hypot(*sides(str(sawn))) + (bow_in or 0.0)
    top = float(_or(top, region.figure(TOPIC, f"{kind}_top_in")))
    limit = "sawlog" if kind == "sawlog" else "straight"
    sweep = region.figure(TOPIC, f"{limit}_sweep_pct")
    if bow_in is not None:
        free = feet[0] * region.figure(TOPIC, "free_bow_in_per_ft")
        sweep = 100.0 * max(bow_in - free, 0.0) / top
    cull = region.figure(TOPIC, f"{limit}_cull_pct")
    return Line(product, number, feet, top, float(butt), woods, cull, sweep, grounded, purpose, soft_top_in=soft)


def _or(value: Any, usual: Any) -> Any:
    return usual if value is None else value


def sides(sawn_in: str) -> tuple[float, float]:
    """Both sides of what is sawn square. Raises InputError where they cannot be read.

    >>> sides("6 x 8")
    (6.0, 8.0)
    """
    parts = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*", sawn_in.lower())
    if parts is None or not 0 < max(map(float, parts.groups())) <= 24:
        raise InputError(f"sides {sawn_in!r}: write both in inches, as 8x8")
    return float(parts.group(1)), float(parts.group(2))


def _bow_in(need: Mapping[str, Any], length_ft: float, *, region: Region) -> float | None:
    """How far a piece may bow [in] by its word; None where it has none: then the limits of its product hold."""
    straight = need.get("straight")
    if not straight:
        return None
    if straight == "post":
        return float(_or(need.get("top_in"), region.figure(TOPIC, "post_top_in"))) * region.figure(
            TOPIC, "post_bow_share"
        )
    return length_ft * region.figure(TOPIC, f"{straight}_bow_in_per_ft")


def _woods(need: Mapping[str, Any], grounded: bool) -> str:
    """The woods a line asks for, as it says itself; if it says nothing, lasting ones for what stands in the ground."""
    if need.get("lasting") or need.get("hot"):
        return "lasting" if need.get("lasting") else "hot"
    usual = "lasting" if need.get("lasting") is None and grounded else "any"
    return str(need.get("wood") or usual).strip().lower()


def hand_felling(trees: pd.DataFrame, *, region: Region) -> pd.Series:
    """For each tree "" or why it stands on the list "not for hand felling without a professional".

    Dead ash, every other dead tree, and those whose mark or quality says hung, leaning, snag, hollow or broken. An
    empty word says nothing about danger: no number here says that a tree may be felled without it.
    """
    out = pd.Series("", index=trees.index, dtype=object)
    mark = (trees["mark"] if "mark" in trees else pd.Series("", index=trees.index)).fillna("").astype(str).str.lower()
    for word, why in DANGER.items():
        out[(out == "") & mark.str.contains(word, regex=False)] = why
    judged = limits(trees, region=region)
    shut = (out == "") & (judged["never"] == NOT_BY_HAND)
    out[shut] = judged.loc[shut, "words"]
    if "alive" in trees:
        dead = ~living(trees)
        ash = trees["species"].str.split().str[-1] == "ash"
        out[dead] = "dead"
        out[dead & ash] = "dead ash"
    return out
