"""On which day a number stands: when the plots were measured, and what that means for the day asked.

measured_words   from when to when the plots of some stands were measured
later            which of them come after the day asked
before_words     that the day asked comes before plots
"""

from collections.abc import Sequence
from datetime import date

import numpy as np
import pandas as pd

from woodlot.say import words

__all__ = ["before_words", "later", "measured_words"]


def measured_words(measured_on: pd.Series) -> str:
    """``on 9 October 2026``, ``from 9 October 2021 to 14 October 2025``; empty when no plot carries a day."""
    days = pd.to_datetime(measured_on).dropna()
    if not len(days):
        return ""
    first, last = (words.month_day_year(day.date()) for day in (days.min(), days.max()))
    return f"on {first}" if first == last else f"from {first} to {last}"


def later(measured_on: pd.Series, as_of: date) -> np.ndarray:
    """Which plots were measured after the day asked."""
    return (pd.to_datetime(pd.Series(list(measured_on))) > pd.Timestamp(as_of)).to_numpy(dtype=bool)


def before_words(stand_ids: Sequence[str], measured_on: pd.Series, as_of: date) -> list[str]:
    """One sentence when ``as_of`` comes before the plots of some stands, else nothing: wood is not grown backward."""
    ids = [s for s, is_later in zip(stand_ids, later(measured_on, as_of), strict=True) if is_later]
    if not ids:
        return []
    which = f"stand {', '.join(ids)}" if len(ids) < len(stand_ids) else "every stand here that has plots"
    return [
        f"{words.month_day_year(as_of)} is before the plots of {which}: their wood is shown as the plots found it "
        "later. Nothing is grown backward."
    ]
