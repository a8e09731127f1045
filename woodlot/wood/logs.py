"""Board feet and cubic feet of single logs.

log_bdft_doyle, log_bdft_scribner                                  rules by formula
log_bdft_international_quarter, log_bdft_international_eighth      rules by 4-ft sections
log_bdft                                                           any of them by name
log_cuft_smalian                                                   solid wood from the diameters of both ends

Rules differ by a third in small logs and cross in large ones: never add feet of two rules, never turn one into another
by a constant, and print the rule with the number. Diameters are inside bark; no rule here rounds them or takes
cull off.
"""

from typing import Any

import numpy as np

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.trade import unknown
from woodlot.tree.inputs import between, numbers, positive
from woodlot.units import basal_sqft

__all__ = [
    "RULES",
    "log_bdft",
    "log_bdft_doyle",
    "log_bdft_international_eighth",
    "log_bdft_international_quarter",
    "log_bdft_scribner",
    "log_cuft_smalian",
    "quarter_kerf_factor",
]

MOST_IN, MOST_FT = 120.0, 120.0  # beyond these a unit is wrong


@once
def _rule(rule: str, name: str, *, region: Region) -> float:
    rows = region.table("log_rules")
    return float(rows.loc[(rows["rule"] == rule) & (rows["name"] == name), "value"].iloc[0])


def _log(top_diameter_in: Any, length_ft: Any) -> tuple[np.ndarray, np.ndarray, Any]:
    (diameter, length), back = numbers(top_diameter_in=top_diameter_in, length_ft=length_ft)
    positive(top_diameter_in=diameter, length_ft=length)
    between("top_diameter_in", diameter, 0.0, MOST_IN, "inches inside bark")
    between("length_ft", length, 0.0, MOST_FT, "feet of one log")
    return diameter, length, back


def _in_logs(diameter: np.ndarray, length: np.ndarray, feet: Any, *, region: Region) -> np.ndarray:
    """Sum of ``feet(diameter, length)`` over the two or more equal logs that one longer than 20 ft is scaled as.

    Each lower log is taken thicker by the taper of the International rule, half an inch in 4 ft.
    """
    taper = _rule("international", "taper_in_per_section", region=region) / _rule(
        "international", "section_ft", region=region
    )
    pieces = np.ceil(length / _rule("all", "longest_log_ft", region=region))
    each = length / pieces
    total = np.zeros(np.shape(length))
    for piece in range(int(np.nanmax(pieces, initial=1.0))):
        total = total + np.where(piece < pieces, feet(diameter + piece * each * taper, each), 0.0)
    return np.where(np.isnan(diameter + length), np.nan, total)


def log_bdft_doyle(top_diameter_in: Any, length_ft: Any, *, region: Region) -> Any:
    """Board feet of a log by the Doyle rule.

    top_diameter_in: diameter inside bark at the small end (in); length_ft: length without trim (ft). Returns board
    feet, 0 for logs of 4 in and less. Logs over 20 ft count as two or more. Raises InputError.

    Notes: (D - 4)^2 L / 16. Small logs get far less than they saw out.

    Example: 12 in, 16 ft: 8 x 8 = 64 board feet.

    Source: extension handouts (useful_forestry_measurements).
    """
    diameter, length, back = _log(top_diameter_in, length_ft)
    slab, divisor = _rule("doyle", "slab", region=region), _rule("doyle", "length_divisor", region=region)
    return back(_in_logs(diameter, length, lambda d, ft: np.maximum(d - slab, 0.0) ** 2 * ft / divisor, region=region))


def log_bdft_scribner(top_diameter_in: Any, length_ft: Any, *, region: Region) -> Any:
    """Board feet of a log by the Scribner rule as a formula; arguments as for Doyle.

    Notes: (0.79 D^2 - 2 D - 4) L / 16, never below 0.

    Example: 12 in, 16 ft: 0.79 x 144 - 24 - 4 = 85.76 board feet.

    Source: Scribner formula (bruce_schumacher).
    """
    diameter, length, back = _log(top_diameter_in, length_ft)
    a, b, c, by = (_rule("scribner", n, region=region) for n in ("d_squared", "d", "constant", "length_divisor"))
    return back(
        _in_logs(diameter, length, lambda d, ft: np.maximum(a * d**2 - b * d - c, 0.0) * ft / by, region=region)
    )


def _international(diameter: np.ndarray, length: np.ndarray, *, region: Region) -> np.ndarray:
    a, b, section, taper = (
        _rule("international", n, region=region) for n in ("d_squared", "d", "section_ft", "taper_in_per_section")
    )
    total = np.zeros(np.shape(length))
    for done in range(int(np.ceil(np.nanmax(length, initial=0.0) / section))):
        d = diameter + done * taper
        part = np.clip(length / section - done, 0.0, 1.0)
        total = total + np.maximum(a * d**2 - b * d, 0.0) * part
    return np.where(np.isnan(diameter + length), np.nan, total)


def quarter_kerf_factor(*, region: Region) -> float:
    """What International feet for a 1/8-inch kerf are multiplied by for a 1/4-inch one."""
    return _rule("international", "quarter_kerf_factor", region=region)


def log_bdft_international_eighth(top_diameter_in: Any, length_ft: Any, *, region: Region) -> Any:
    """Board feet of a log by the International rule for a 1/8-inch kerf; arguments as for Doyle.

    Notes: the log is cut into 4-ft sections from the small end, each next one half an inch thicker; a section gives
    0.22 D^2 - 0.71 D, a rest shorter than 4 ft in proportion. Longer logs need no splitting: the taper is built in.

    Example: 12 in, 4 ft: 0.22 x 144 - 0.71 x 12 = 23.16 board feet.

    Source: Clark 1906, as restated (clark_1906).
    """
    diameter, length, back = _log(top_diameter_in, length_ft)
    return back(_international(diameter, length, region=region))


def log_bdft_international_quarter(
    top_diameter_in: Any, length_ft: Any, kerf_factor: float | None = None, *, region: Region
) -> Any:
    """Board feet of a log by the International rule for a 1/4-inch kerf; arguments as for Doyle.

    kerf_factor: what the 1/8-inch feet are multiplied by; 0.904762 as a state's law has it, dictionaries round to 0.905
    (0.03 percent more). Printed tables are rounded to the nearest 5.

    Example: 12 in, 16 ft: sections of 12, 12.5, 13, 13.5 in give 107.12 x 0.904762 = 96.918 board feet.

    Source: Michigan Act 208 of 1941 (michigan_1941); Clark 1906 as restated (clark_1906).
    """
    diameter, length, back = _log(top_diameter_in, length_ft)
    factor = quarter_kerf_factor(region=region) if kerf_factor is None else kerf_factor
    return back(_international(diameter, length, region=region) * factor)


RULES = {
    "doyle": log_bdft_doyle,
    "scribner": log_bdft_scribner,
    "international_quarter": log_bdft_international_quarter,
    "international_eighth": log_bdft_international_eighth,
}


def log_bdft(top_diameter_in: Any, length_ft: Any, rule: str = "international_quarter", *, region: Region) -> Any:
    """Board feet of a log by the rule named (one of RULES), as that rule has them. Raises InputError."""
    if rule not in RULES:
        raise InputError(f"log rule {rule!r}: {unknown(rule, RULES)}")
    return RULES[rule](top_diameter_in, length_ft, region=region)


def log_cuft_smalian(small_end_in: Any, large_end_in: Any, length_ft: Any) -> Any:
    """Solid cubic feet from both end diameters (in, with or without bark as measured) and length (ft), Smalian.

    Notes: L (As + Al) / 2. Too much for flared butts.

    Example: 10 and 12 in, 16 ft: 16 x (0.5454 + 0.7854) / 2 = 10.647.

    Source: useful_forestry_measurements.
    """
    (small, large, length), back = numbers(small_end_in=small_end_in, large_end_in=large_end_in, length_ft=length_ft)
    for name, diameter in (("small_end_in", small), ("large_end_in", large)):
        between(name, diameter, 0.0, MOST_IN, "inches, 0 at tips")
    positive(length_ft=length)
    between("length_ft", length, 0.0, 4 * MOST_FT, "feet")
    return back(length * (basal_sqft(small) + basal_sqft(large)) / 2.0)
