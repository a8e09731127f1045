"""Older volume rules: by merchantable height, by number of logs and form class.

stem_cuft_beers_1964, stem_and_bark_cuft_beers_1964   merchantable wood, without and with bark
cords_beers_1964                                      the same in cords
tree_bdft_wiant_1986                                  board feet by diameter, number of 16-ft logs and form class
"""

from typing import Any

import numpy as np

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.trade import TREE_RULES, unknown
from woodlot.tree.inputs import between, numbers, positive

__all__ = [
    "cords_beers_1964",
    "stem_and_bark_cuft_beers_1964",
    "stem_cuft_beers_1964",
    "tree_bdft_wiant_1986",
]


@once
def beers(name: str, *, region: Region) -> float:
    """One constant of Beers 1964."""
    return region.figure("beers_1964", name)


def cords_beers_1964(dbh_in: Any, merch_ft: Any, *, region: Region) -> Any:
    """Cords in a hardwood stem from stump to the chosen top.

    dbh_in: diameter at breast height (in); merch_ft: MERCHANTABLE height, stump to the top (ft), 8 to 80; for cordwood
    the height to a 4-in top. Returns cords (of 76 cubic feet of wood, 92 with bark). Never put total height in.

    Notes: a b with a = D^2 (D + 190) / 100000 and b = (H (168 - H) / 64 + 32 / H) / 100.

    Example: 12 in, 40 ft: a = 144 x 202 / 100000 = 0.29088; b = (40 x 128 / 64 + 0.8) / 100 = 0.808; 0.235 cord.

    Source: Beers 1964, Purdue Res. Bull. 787, as restated (beers_1964).
    """
    (dbh, height), back = numbers(dbh_in=dbh_in, merch_ft=merch_ft)
    positive(dbh_in=dbh, merch_ft=height)
    between("dbh_in", dbh, 0.0, region.figure("defaults_tree", "dbh_most_in"), "diameter is in inches")
    between("merch_ft", height, 0.0, beers("height_limit_ft", region=region), "merchantable height in feet")
    a = dbh**2 * (dbh + beers("dbh_added", region=region)) / beers("dbh_divisor", region=region)
    b = (
        height * (beers("height_limit_ft", region=region) - height) / beers("height_divisor", region=region)
        + beers("height_inverse", region=region) / height
    )
    return back(a * b / beers("height_scale", region=region))


def stem_cuft_beers_1964(dbh_in: Any, merch_ft: Any, *, region: Region) -> Any:
    """Merchantable wood of a hardwood stem without bark, cubic feet; arguments as for cords_beers_1964.

    Example: 16 in, 40 ft: 32.38 cubic feet. Source: Beers 1964 (beers_1964).
    """
    return cords_beers_1964(dbh_in, merch_ft, region=region) * beers("wood_cuft_per_cord", region=region)


def stem_and_bark_cuft_beers_1964(dbh_in: Any, merch_ft: Any, *, region: Region) -> Any:
    """Merchantable stem of a hardwood with bark, cubic feet; arguments as for cords_beers_1964.

    Example: 10 in, 26 ft: 10.84 cubic feet. Source: Beers 1964 (beers_1964).
    """
    return cords_beers_1964(dbh_in, merch_ft, region=region) * beers("wood_and_bark_cuft_per_cord", region=region)


def tree_bdft_wiant_1986(dbh_in: Any, logs_16ft: Any, form_class: Any, rule: str, *, region: Region) -> Any:
    """Board feet of a standing tree from diameter, number of 16-ft logs and form class.

    dbh_in: diameter at breast height (in), fitted for 10 to 36 and good from 12 up; logs_16ft: number of 16-ft logs,
    half logs allowed; form_class: diameter inside bark at 17.3 ft as percent of dbh (78 when unknown); rule:
    "international_quarter", "scribner" or "doyle". Returns board feet of that rule, never below 0. Raises InputError.

    Notes: V78 = f0(L) + f1(L) D + f2(L) D^2, each f a quadratic in L; each point of form class off
    78 changes it by 3 percent.

    Example: 24 in, 2.5 logs, form class 78: 519.7 International 1/4-inch, 484.6 Scribner, 428.9 Doyle board feet.

    Source: Wiant 1986 after the tables of Mesavage and Girard 1946, as restated (wiant_1986).
    """
    if rule not in TREE_RULES:
        raise InputError(f"log rule {rule!r}: {unknown(rule, TREE_RULES)}")
    (dbh, logs, form), back = numbers(dbh_in=dbh_in, logs_16ft=logs_16ft, form_class=form_class)
    positive(dbh_in=dbh)
    between("dbh_in", dbh, 0.0, region.figure("defaults_tree", "dbh_most_in"), "diameter is in inches")
    between("logs_16ft", logs, 0.0, 12.0, "16-ft logs, not feet")
    between("form_class", form, 50.0, 100.0, "percent, such as 78")
    total = np.zeros_like(dbh * logs * form)
    for term, power in (("constant", 0), ("dbh", 1), ("dbh_squared", 2)):
        row = region.records("tree_bdft_wiant_1986", "rule", "term")[rule, term]
        total = total + (row["logs_0"] + row["logs_1"] * logs + row["logs_2"] * logs**2) * dbh**power
    total = total * (
        1.0
        + region.figure("defaults_tree", "form_class_step") * (form - region.figure("defaults_tree", "form_class_base"))
    )
    return back(np.maximum(np.where(logs == 0, 0.0, total), 0.0))
