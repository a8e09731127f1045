"""Exact conversions, one name per unit. Nothing here is measured; everything is a definition.

The acre is the international one (43,560 international square feet); the US survey acre is 4 parts in a million larger.
"""

import math
import re

SQFT_PER_AC = 43_560.0
AC_PER_SQMI = 640.0
FT_PER_MI = 5_280.0
IN_PER_FT = 12.0
CM_PER_IN = 2.54
M_PER_FT = 0.3048
M2_PER_AC = 4_046.8564224
HA_PER_AC = 0.40468564224
AC_PER_HA = 1.0 / HA_PER_AC
LB_PER_KG = 2.204622621848776
CUFT_PER_CORD_STACKED = 128.0
#: Height above ground at which a tree's diameter is taken, and length of the log that logs are counted in.
BREAST_FT, LOG_FT = 4.5, 16.0
CUFT_PER_CUYD = 27.0
#: Square feet of basal area of a stem one inch across: pi / 4 / 144.
BASAL_SQFT_PER_SQIN = math.pi / 576.0


def basal_sqft(diameter_in):
    """Cross-section of a round stem, square feet, from its diameter in inches (number, array or Series)."""
    return BASAL_SQFT_PER_SQIN * diameter_in**2


_FEET = r"(\d+(?:\.\d+)?)\s*(ft|feet|foot|'|in|inches|inch|\")?"
_SIZE = re.compile(rf"\b{_FEET}\s*[x×*]\s*{_FEET}\s*[x×*]\s*{_FEET}", re.IGNORECASE)


def stack_ft(text: str) -> tuple[float, float, float] | None:
    """Length, height and depth of a stack in feet, as a tape gives them; a side in inches says so. None for no size.

    >>> stack_ft("4x4x16"), stack_ft("8 ft x 4 ft x 16 in"), stack_ft("two rows")
    ((4.0, 4.0, 16.0), (8.0, 4.0, 1.3333333333333333), None)
    """
    found = _SIZE.search(text)
    if found is None:
        return None
    sides = [(float(found[n]), (found[n + 1] or "").lower()) for n in (1, 3, 5)]
    a, b, c = (side / IN_PER_FT if unit in ("in", "inch", "inches", '"') else side for side, unit in sides)
    return a, b, c
