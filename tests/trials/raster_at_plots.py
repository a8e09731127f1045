"""Do ranges hold the truth where heights seen from above help the plots, and are they narrower?

Run from the top folder:

    python tests/trials/raster_at_plots.py             # every design, 2,000 places each; a table
    python tests/trials/raster_at_plots.py 500 curved  # so many places of the designs whose name holds a word

A made-up place has five stands of one cover, 40 acres each. Every place is a cover of a
single large one, so that the code under trial runs once for all of them: the reading of plots and stands is made up,
all after it is what a family runs. Plain: the same plots without the raster.
Nothing is drawn but by a seed.
"""

import sys
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.region import shipped
from woodlot.stand.plots import means
from woodlot.stand.raster_at_plots import Above, helped
from woodlot.stand.spread import alike
from woodlot.wood.tally import totals_by

SEED = 1504
STANDS, ACRES, CORDS = 5, 40.0, 26.7
#: Spread of the means of stands, and of the plots of a stand.
BETWEEN, WITHIN = 0.25, 0.48
#: Readings, as the code names them.
READINGS = ("mean", "over_30_pct")


@dataclass(frozen=True)
class Design:
    """How a raster shows the wood.

    correlation: of reading and cords over the plots of a place; plots of a stand; curve: heights grow slower where more
    stands; level: share of the reading's noise that a whole stand has in common; odd: the first stand holds so many
    times what others do; readings: 1 or 2 of the raster; within: spread between the plots of a stand.
    """

    correlation: float
    plots: int
    curve: bool = False
    level: float = 0.0
    odd: float = 1.0
    within: float = WITHIN

    @property
    def name(self) -> str:
        """Its row in the table."""
        more = ["curved"] * self.curve + ["level"] * (self.level > 0) + ["odd"] * (self.odd != 1)
        more += ["patchy"] * (self.within > WITHIN)
        return " ".join([f"{self.correlation:.2f}", f"{self.plots} x {STANDS}", *more])


DESIGNS = (
    *(Design(r, n) for r in (0.0, 0.3, 0.5, 0.7, 0.85) for n in (3, 5, 10)),
    *(Design(0.7, n, curve=True) for n in (3, 5, 10)),
    *(Design(0.85, n, curve=True, odd=odd) for n in (3, 5) for odd in (0.3, 2.5)),
    *(Design(0.7, n, level=0.5) for n in (3, 5, 10)),
    *(Design(0.7, n, odd=odd) for n in (3, 5) for odd in (0.4, 2.2)),
    *(Design(r, n, within=0.68) for r in (0.5, 0.7) for n in (3, 5)),
)


@dataclass(frozen=True)
class Drawn:
    """Places of one design: plots, stands with their truth, and what is read at both."""

    sums: pd.DataFrame
    visited: pd.DataFrame
    stands: pd.DataFrame
    seen: Above
    truth: pd.Series


def _reading(cords: np.ndarray, noise: np.ndarray, of: Design) -> np.ndarray:
    """What a raster shows of ground that holds so many cords, in feet."""
    tall = 45.0 * (1.0 - np.exp(-cords / 20.0)) if of.curve else 1.2 * cords
    return 30.0 + tall + noise


def draw(of: Design, places: int) -> Drawn:
    """Places of one design; stand ids are place-stand, plot ids place-stand-plot."""
    rng = np.random.default_rng([SEED, *f"{of.name} {of.odd}".encode()])
    var = np.log(1.0 + BETWEEN**2)
    mean = CORDS * np.exp(rng.normal(-var / 2.0, np.sqrt(var), (places, STANDS)))
    mean[:, 0] *= of.odd
    shape = 1.0 / of.within**2
    plots = rng.gamma(shape, mean[..., None] / shape, (places, STANDS, of.plots))
    ground = rng.gamma(shape, mean[..., None] / shape, (places, STANDS, 400))
    bare = _reading(ground, np.zeros_like(ground), of)
    sd = bare.reshape(places, -1).std(axis=1) * np.sqrt(1.0 / max(of.correlation, 0.05) ** 2 - 1.0)
    level = rng.normal(0.0, 1.0, (places, STANDS)) * np.sqrt(of.level) * sd[:, None]
    noise = rng.normal(0.0, 1.0, plots.shape) * np.sqrt(1.0 - of.level) * sd[:, None, None] + level[..., None]
    x, whole = _reading(plots, noise, of), bare.mean(axis=2) + level
    if of.correlation == 0.0:
        x, whole = 60.0 + noise, 60.0 + level
    stand = np.array([f"{p}-{s}" for p in range(places) for s in range(STANDS)])
    each = np.repeat(stand, of.plots)
    ids = np.array([f"{one}-{k % of.plots}" for k, one in enumerate(each)])
    place = np.repeat(np.arange(places).astype(str), STANDS)
    sums = pd.DataFrame({"plot_id": ids, "stand_id": each, "line": None, "what": "cords", "amount": plots.ravel()})
    visited = pd.DataFrame({"plot_id": ids, "stand_id": each, "kind": "prism", "baf_sqft_per_ac": 10.0})
    stands = pd.DataFrame({"stand_id": stand, "parcel_id": place, "cover": place, "acres": ACRES})
    # the second reading: noisier, and of the same ground
    more = rng.normal(0.0, 1.0, (2, *x.shape)) * sd[:, None, None]
    second = x + more[0]
    points = pd.DataFrame({"mean": x.ravel(), "over_30_pct": second.ravel()}, index=ids)
    over = pd.DataFrame({"mean": whole.ravel(), "over_30_pct": whole.ravel()}, index=stand)
    seen = Above(points, over)
    return Drawn(
        sums.assign(spread=sums["amount"], seen=True, r2=0.0, r_df=np.inf),
        visited.assign(radius_ft=np.nan),
        stands,
        seen,
        pd.Series(mean.ravel(), index=stand),
    )


def _told(drawn: Drawn, seen: Above | None) -> tuple[pd.DataFrame, pd.DataFrame, pd.Series]:
    """Value, low and high of every stand and every place, and which stands were helped."""
    region = shipped("base")
    stands = drawn.stands.assign(like=drawn.stands["stand_id"].map(alike(drawn.stands, drawn.visited)))
    by = stands.set_index("stand_id")
    help_ = helped(seen, drawn.sums, by["like"], by["cover"], region=region)
    times = drawn.sums["stand_id"].map(help_.stands["times"]).astype(float).fillna(1.0)
    moved = drawn.sums.assign(amount=drawn.sums["amount"] * times, spread=drawn.sums["spread"] * times)
    table = help_.on_means(means(moved))
    told = totals_by(("stand_id", "parcel_id"), table, stands, "cords", {}, 0.90, region=region)
    frames = [
        pd.DataFrame({key: (e.value, e.low, e.high) for key, e in told[by].items()}, index=["value", "low", "high"]).T
        for by in ("stand_id", "parcel_id")
    ]
    return frames[0], frames[1], drawn.stands["stand_id"].isin(help_.stands.index).set_axis(drawn.stands["stand_id"])


def _held(told: pd.DataFrame, truth: pd.Series) -> tuple[float, float]:
    """Percent of ranges that hold the truth, and their median half width as percent of it."""
    told, truth = told.astype(float).dropna(), truth.reindex(told.index)
    truth = truth.reindex(told.index)
    inside = (told["low"] <= truth) & (truth <= told["high"])
    return 100.0 * inside.mean(), float((50.0 * (told["high"] - told["low"]) / truth).median())


def tell(of: Design, places: int) -> dict[str, float | str]:
    """One row of the table: coverage and half width of stands and totals, plain beside helped, and of helped alone."""
    drawn = draw(of, places)
    stands, totals, helped_ = _told(drawn, drawn.seen)
    plain_stands, plain_totals, _ = _told(drawn, None)
    truth = drawn.truth * ACRES
    of_place = drawn.stands.set_index("stand_id")["parcel_id"]
    whole = truth.groupby(of_place).sum()
    some = helped_.groupby(of_place).any()
    out: dict[str, float | str] = {
        "design": of.name + (f" {of.odd:g}" if of.odd != 1 else ""),
        "helped": 100.0 * some.mean(),
    }
    out["stand"], out["stand_width"] = _held(stands, truth)
    out["plain_stand"], out["plain_stand_width"] = _held(plain_stands, truth)
    out["first"] = _held(stands[stands.index.str.endswith("-0")], truth)[0]
    out["total"], out["total_width"] = _held(totals, whole)
    out["plain"], out["plain_width"] = _held(plain_totals, whole)
    out["helped_total"], out["helped_width"] = (
        _held(totals[some.reindex(totals.index)], whole) if some.any() else (np.nan,) * 2
    )
    return out


def main_trial(places: int, words: list[str]) -> pd.DataFrame:
    """Every design as a row."""
    rows = [tell(one, places) for one in DESIGNS if all(word in one.name for word in words)]
    return pd.DataFrame(rows).set_index("design")


if __name__ == "__main__":
    numbers, names = ([a for a in sys.argv[1:] if a.isdigit() == kind] for kind in (True, False))
    print(main_trial(int(numbers[0]) if numbers else 2_000, names).round(0).to_string())
