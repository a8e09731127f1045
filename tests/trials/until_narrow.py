"""Plots one after the other until a range is as narrow as is wanted: does it still hold the truth, at what cost?

    python tests/trials/until_narrow.py [--places 2000] [--within 25]

A place is five stands of one cover, true means with a CV of .25, plots drawn from a gamma distribution whose CV is that
of even (.34), clumped (.48) or patchy (.68) woods. Four stands have 3 plots; in the first, plots go on from 3 until its
range is within what is wanted, at most 60: by its own spread alone, and by the spread that ranges rest on
(``stand.spread``). Printed: percent of 90 percent ranges at the end that hold the truth, and the mean number of plots.
Stopping as soon as a range is narrow favors luck: plots that agree by chance end the work and hide the truth.
"""

import argparse
from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.estimate import t_quantile
from woodlot.region import shipped
from woodlot.stand.next_plots import of_each
from woodlot.stand.spread import spread

CVS = {"even": 0.34, "clumped": 0.48, "patchy": 0.68}
STANDS, FIRST, MOST, LEVEL, SEED = 5, 3, 60, 0.90, 29


class Ended(NamedTuple):
    """Share of the places whose range holds the truth at the end, and the mean number of plots."""

    covered: float
    plots: float


def _own(table: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """The spread by a stand's own plots alone."""
    square = table["n"] * (table["se"] / table["mean"]) ** 2
    return square.to_numpy(), table["df"].to_numpy(dtype=float)


def _helped(table: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """The spread that ranges rest on; the stands of a place help each other."""
    like = table.set_index("stand_id")["place"].astype(str)
    told = spread(table, like, region=shipped("base"))
    return told.c2, told.df


def until_narrow(kind: str, places: int, within: float, *, helped: bool) -> Ended:
    """Places of one kind of woods, ``within`` a share of the number."""
    draw = np.random.default_rng([SEED, places, *kind.encode()])
    truth = draw.gamma(1 / 0.25**2, 0.25**2 * 20.0, (places, STANDS))
    shape = 1.0 / CVS[kind] ** 2
    plots = draw.gamma(shape, truth[..., None] / shape, (places, STANDS, MOST))
    n = np.full((places, STANDS), FIRST)
    going = np.ones(places, dtype=bool)
    held = np.zeros(places, dtype=bool)
    while going.any():
        told = np.arange(MOST) < n[going][..., None]
        many, some = n[going], np.where(told, plots[going], 0.0)
        mean = some.sum(axis=2) / many
        error = np.sqrt((np.where(told, plots[going] - mean[..., None], 0.0) ** 2).sum(axis=2) / (many - 1) / many)
        table = pd.DataFrame({"mean": mean.ravel(), "se": error.ravel(), "n": many.ravel()})
        table["df"], table["place"] = table["n"] - 1.0, np.repeat(np.arange(len(many)), STANDS)
        table["stand_id"] = table.index.astype(str)
        c2, df = (_helped if helped else _own)(table)
        rows = table.assign(c2=c2, df=df, shared=0.0, first=0).iloc[::STANDS]
        at = np.flatnonzero(going)
        done = (of_each(rows, within, LEVEL) <= rows["n"]).to_numpy() | (n[going][:, 0] == MOST)
        t = np.array([t_quantile(LEVEL, one) for one in rows["df"]])
        reach = t * np.sqrt(np.log1p(rows["c2"] / rows["n"])).to_numpy()
        held[at] = np.abs(np.log(truth[at, 0] / rows["mean"].to_numpy())) <= reach
        going[at[done]] = False
        n[at[~done], 0] += 1
    return Ended(float(held.mean()), float(n[:, 0].mean()))


def main() -> None:
    """Each kind of woods, by own spread and by the helped one."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--places", type=int, default=2000)
    asked.add_argument("--within", type=float, default=25.0)
    given = asked.parse_args()
    print("woods     spread   holds %  plots")
    for kind in CVS:
        for helped in (False, True):
            told = until_narrow(kind, given.places, given.within / 100.0, helped=helped)
            print(f"{kind:<9} {'helped' if helped else 'own':<7} {100 * told.covered:8.1f} {told.plots:6.1f}")


if __name__ == "__main__":
    main()
