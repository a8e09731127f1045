"""What the cover of a stand decides: its row of cover_types.csv and, where that is silent, the cover it goes ``as``.

known      covers of which a table of the region speaks
lineage    a cover, the one it goes as, and so on
said_of    what a column of cover_types.csv says of each cover; are: of a column of yes and no
rows_of    the row of a table that speaks for each cover: its own, or that of the cover it goes as
rule_of    the same of cut_rules.csv, with the rule for any other cover; structure_of: of structures.csv
are_cut, are_thinned   whether the rule of a cover cuts anything, and whether it thins
"""

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from woodlot.region import Region
from woodlot.trade import GROWTHS, GUIDES

__all__ = [
    "KIND",
    "OTHER",
    "are",
    "are_cut",
    "are_thinned",
    "known",
    "lineage",
    "rows_of",
    "rule_of",
    "said_of",
    "structure_of",
]

#: The row of a table for covers that have none.
OTHER = "other"
#: Tables that have a row a cover.
BY_COVER = ("cover_types", "cut_rules", "structures", "deer_browse_production")
#: What holds for a cover of which cover_types.csv says nothing.
KIND = {
    "letter": "?",
    "growth": next(iter(GROWTHS)),
    "guide": next(iter(GUIDES)),
    "evergreen": "no",
    "shelter": "no",
    "wet": "no",
    "woods": "yes",
}


def known(region: Region) -> tuple[str, ...]:
    """Every cover of which a table of the region speaks, those of cover_types.csv first."""
    names = (name for topic in BY_COVER for name in region.table(topic, rows=())["cover"])
    return tuple(name for name in dict.fromkeys(names) if name != OTHER)


def lineage(cover: str, region: Region) -> list[str]:
    """A cover, the cover it goes as, and so on."""
    rows, out = region.records("cover_types", "cover"), [cover]
    while out[-1] in rows and isinstance(under := rows[out[-1]]["as"], str) and under not in out:
        out.append(under)
    return out


def _each(covers: Iterable[Any], of: Callable[[str], str]) -> np.ndarray:
    """A word for each cover, worked out once a cover."""
    names = [str(cover).strip().lower() for cover in covers]
    words = {name: of(name) for name in dict.fromkeys(names)}
    return np.array([words[name] for name in names], dtype=object)


def said_of(covers: Iterable[Any], column: str, region: Region) -> np.ndarray:
    """What a column of cover_types.csv says of each cover, or ``KIND``."""
    rows = region.records("cover_types", "cover")

    def word(cover: str) -> str:
        said = (rows[name][column] for name in lineage(cover, region) if name in rows)
        return next((one for one in said if isinstance(one, str)), KIND[column])

    return _each(covers, word)


def are(covers: Iterable[Any], column: str, region: Region) -> np.ndarray:
    """Whether a column of cover_types.csv says yes of each cover."""
    return said_of(covers, column, region) == "yes"


def rows_of(topic: str, covers: Iterable[Any], region: Region) -> np.ndarray:
    """The row of a table that speaks for each cover; "" where there is none."""
    there = set(region.table(topic, rows=())["cover"])
    return _each(covers, lambda cover: next((name for name in lineage(cover, region) if name in there), ""))


def rule_of(covers: Iterable[Any], region: Region) -> np.ndarray:
    """The row of cut_rules.csv for each cover."""
    rows = rows_of("cut_rules", covers, region)
    return np.where(rows == "", OTHER, rows)


def are_cut(covers: Iterable[Any], region: Region) -> np.ndarray:
    """Whether the rule for each cover cuts anything: a hayfield, a bog or a cedar swamp is left alone."""
    return _ways(covers, region) != "none"


def are_thinned(covers: Iterable[Any], region: Region) -> np.ndarray:
    """Whether the rule for each cover thins it: a basal area is left."""
    return _ways(covers, region) == "thin"


def _ways(covers: Iterable[Any], region: Region) -> np.ndarray:
    ways = region.table("cut_rules", rows=()).set_index("cover")["way"]
    return np.array([ways[rule] for rule in rule_of(covers, region)], dtype=object)


def structure_of(covers: Iterable[Any], region: Region) -> np.ndarray:
    """The row of structures.csv for each cover; "" where all classes are thinned alike."""
    rows = rows_of("structures", covers, region)
    there = OTHER in set(region.table("structures", rows=())["cover"])
    return np.where((rows == "") & (rule_of(covers, region) == OTHER) & there, OTHER, rows)
