"""Do borrowed ranges hold the truth, inside the measured stands and beyond them, with thin lenders too?

Run from the top folder:

    python tests/trials/likeness.py      # every design, 400 landscapes each; a table
    python tests/trials/likeness.py 100  # so many

A made-up landscape has stands of three covers, and heights and closure of the crowns that tell their cords (signal) or
not. Lenders were cruised with few plots. Targets lie inside what was measured, or are taller by up to a half.
Nothing is drawn but by a seed.
"""

import sys
from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.region import shipped
from woodlot.stand import likeness

SEED, TARGETS = 2607, 12
FEATURES = ("height", "closed")
SHIFT = {"hardwood": 8.0, "oak": 0.0, "aspen": -8.0}
#: Spread between the plots of a stand.
PLOTS = 0.48


class Design(NamedTuple):
    """Whether heights tell cords, measured stands, plots of each (fewest, most), how curved, and targets beyond."""

    signal: bool
    stands: int
    plots: tuple[int, int]
    curve: float
    beyond: bool

    @property
    def name(self) -> str:
        """Its row in the table."""
        ends = f"{self.plots[0]} to {self.plots[1]} plots"
        return f"{'signal' if self.signal else 'none'}{' curved' if self.curve > 1 else ''}, {self.stands} of {ends}"


DESIGNS = [
    Design(signal, stands, plots, curve, beyond)
    for beyond in (False, True)
    for signal, curve in ((True, 1.0), (True, 2.0), (False, 1.0))
    for stands in (8, 20)
    for plots in ((1, 1), (1, 3), (3, 5), (10, 10))
]


def landscape(rng: np.random.Generator, of: Design) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Measured stands with what their plots say and how far that may be off, and targets with their truth."""
    count = of.stands + TARGETS
    cover = rng.choice(list(SHIFT), count)
    height, closed = rng.uniform(20.0, 85.0, count), rng.uniform(30.0, 100.0, count)
    if of.beyond:
        height[of.stands :] = rng.uniform(92.0, 128.0, TARGETS)
    shift = pd.Series(cover).map(SHIFT).to_numpy()
    tall = 8.0 + 42.5 * (height / 85.0) ** of.curve * closed / 100.0 + 0.2 * shift if of.signal else 20.0 + shift
    cords = tall * np.exp(rng.normal(0.0, 0.12, count))
    woods = pd.DataFrame({"stand_id": np.arange(count).astype(str), "cover": cover, "height": height})
    woods = woods.assign(closed=closed, cords=cords)
    known, rest = woods[: of.stands].copy(), woods[of.stands :]
    n = rng.integers(of.plots[0], of.plots[1] + 1, of.stands)
    shape = n / PLOTS**2
    known["cords"] = rng.gamma(shape, known["cords"].to_numpy() / shape)
    known["cords_se"] = known["cords"] * PLOTS / np.sqrt(n)
    return known, rest


def tell(of: Design, landscapes: int) -> dict[str, float | str | bool]:
    """One row of the table: coverage, median half width and how often a range is given."""
    held, width, given = [], [], []
    region = shipped("base")
    for at in range(landscapes):
        known, rest = landscape(np.random.default_rng([SEED, at, *map(int, (of.signal, of.stands, *of.plots))]), of)
        b = likeness.impute(known, rest.drop(columns="cords"), FEATURES, 3, ["cords"], region=region)
        told = likeness.estimates(b, "cords", "cords an acre")
        truth = dict(zip(rest["stand_id"], rest["cords"], strict=True))
        given += [told[s].low is not None for s in truth]
        ranges = [(t, told[s].low, told[s].high) for s, t in truth.items() if told[s].low is not None]
        held += [low <= t <= high for t, low, high in ranges]
        width += [50.0 * (high - low) / t for t, low, high in ranges]
    return {
        "design": of.name,
        "beyond": of.beyond,
        "held": 100.0 * float(np.mean(held)) if held else np.nan,
        "width": float(np.median(width)) if width else np.nan,
        "given": 100.0 * float(np.mean(given)),
    }


def main_trial(landscapes: int) -> pd.DataFrame:
    """Every design as a row."""
    return pd.DataFrame([tell(one, landscapes) for one in DESIGNS]).set_index("design")


if __name__ == "__main__":
    print(main_trial(int(sys.argv[1]) if sys.argv[1:] else 400).round(0).to_string())
