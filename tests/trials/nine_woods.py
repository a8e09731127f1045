"""Does the rule of the level cut hold in woods that grow by a formula? Nine made-up woods over a hundred years.

    python tests/trials/nine_woods.py [SEED [RUNS]]

Three woods, each assumed to grow 2, 3 or 4 percent of the stock that is seen: "flat" grows the same whatever stands,
"interest" in proportion to what stands, "ceiling" less as it fills up. They grow as assumed, or 30 percent less. Every
ten years a cruise sees the stock, with an error of its own and one that all cruises share, and the cut of the next ten
years is set. News: it sees growth too, and the growth assumed goes six tenths of the way to it, which fits the kept
figures. Prints beside those (tests/printed/nine_woods.csv, forest ageing section 9) what percent of runs stand under 85
percent of the first stock after 50 years, and the same where both pulls of the rule work.
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot.plan.level_cut import error_share, level_cut
from woodlot.region import shipped

KEPT = Path(__file__).parents[1] / "printed" / "nine_woods.csv"
WOODS, RATES = ("flat", "interest", "ceiling"), (0.02, 0.03, 0.04)
LEAST, YEARS, AGAIN = 0.85, 100, 10
#: Errors as standard deviations of logarithms: of the table, of growth assumed and of growth seen; how far news go.
TABLE_SD, GROWTH_SD, NEWS_SD, NEWS_SHARE = 0.08, 0.28, 0.20, 0.6
CASES = {
    "as_assumed": (1.0, False),
    "30_under": (0.7, False),
    "as_assumed_remeasured": (1.0, True),
    "30_under_remeasured": (0.7, True),
}


def grows(stock: np.ndarray, rate: np.ndarray) -> np.ndarray:
    """What each wood grows in a year; stock (woods, rates, runs)."""
    flat, interest, ceiling = stock
    return np.stack([rate + 0.0 * flat, rate * interest, 2.0 * rate * ceiling * (1.0 - ceiling / 2.0)])


def tried(
    rule: str,
    stock_sd: float,
    times: float = 1.0,
    news: bool = False,
    *,
    goal: float = np.nan,
    growth_sd: float = GROWTH_SD,
    stock_share: float | None = None,
    runs: int = 10_000,
    seed: int = 1,
) -> dict[str, np.ndarray]:
    """What becomes of the nine woods under a rule, arrays (woods, rates).

    Parameters: rule, of the kept ones; stock_sd, the error of a cruise; times, true growth over assumed; news, whether
    a cruise sees growth; goal, stock aimed at (the upward pull); growth_sd, what stays unknown of growth; stock_share,
    what counts as surplus, None by the errors. Gives under (percent of runs under 85 percent after 50 years), stock
    (median after 100), cut (mean of 50 years over growth assumed).
    """
    region, draw = shipped("base"), np.random.default_rng(seed)
    rates = np.array(RATES)[:, None]
    stock = np.ones((len(WOODS), len(RATES), runs))
    shared = TABLE_SD * draw.standard_normal(runs)
    assumed, cut, first = np.broadcast_to(np.log(rates), stock.shape), 0.0 * stock, 0.0 * stock
    for year in range(YEARS):
        grown = grows(stock, times * rates)
        if year % AGAIN == 0:
            seen = stock * np.exp(shared + stock_sd * draw.standard_normal(stock.shape))
            if year == 0 and "pull" in rule:
                first = seen
            unknown = growth_sd
            if news and year:
                told = np.log(np.maximum(grown / stock, 1e-9)) + NEWS_SD * draw.standard_normal(stock.shape)
                assumed = NEWS_SHARE * told + (1.0 - NEWS_SHARE) * assumed
                unknown = (growth_sd**-2 + NEWS_SD**-2) ** -0.5
            part = 1.0 if rule.startswith("all") else float(error_share(unknown, stock_sd, TABLE_SD))
            part = float(rule.split()[0]) / 100.0 if "%" in rule else part
            sure = error_share(stock_sd, TABLE_SD) if stock_share is None else stock_share
            level = level_cut(part * np.exp(assumed) * seen, seen, first, goal, sure, region=region)
        stock = np.maximum(stock + grown - level, 1e-9)
        if year < YEARS // 2:
            cut, half = cut + level, stock
    out = {"under": 100.0 * (half < LEAST).mean(axis=2), "stock": np.median(stock, axis=2)}
    return out | {"cut": cut.mean(axis=2) / (YEARS // 2 * rates[:, 0])}


def table(runs: int = 10_000, seed: int = 1) -> pd.DataFrame:
    """The kept rows with what is found now, columns found_under_, found_stock_ and found_cut_ of each case."""
    out = pd.read_csv(KEPT)
    for (rule, sd), rows in out.groupby(["rule", "recruise_sd"]):
        at = [WOODS.index(w) for w in rows["woods"]], [RATES.index(r) for r in rows["assumed_growth"]]
        for case, (times, news) in CASES.items():
            found = tried(rule, sd, times, news, runs=runs, seed=seed)
            for name, values in found.items():
                out.loc[rows.index, f"found_{name}_{case}"] = values[at]
    return out


def pulls(runs: int = 10_000, seed: int = 1) -> dict[str, float]:
    """Worst of the nine woods with both pulls, 30 percent less growth: percent of runs under 85 after 50 years."""

    def worst(growth_sd: float, goal: float = 1.0, share: float | None = None) -> float:
        with_ = {"goal": goal, "growth_sd": growth_sd, "stock_share": share, "runs": runs, "seed": seed}
        return float(tried("lower tenth + pull", 0.12, 0.7, **with_)["under"].max())

    none, ten = 0.45, 0.191
    return {
        "no cores": worst(none),
        "ten cores": worst(ten),
        "ten cores, down only": worst(ten, np.nan),
        "no cores, whole stock": worst(none, share=1.0),
        "ten cores, whole stock": worst(ten, share=1.0),
    }


def main() -> None:
    """Print the worst of the nine woods by rule, and how far each figure lies from the kept one at most."""
    seed, runs = (int(word) for word in (sys.argv[1:] + ["1", "10000"][len(sys.argv) - 1 :])[:2])
    found = table(runs, seed)
    for (sd, rule), rows in found.groupby(["recruise_sd", "rule"]):
        told = [f"{rows[c].max():5.1f} {rows[f'found_under_{c}'].max():5.1f}" for c in CASES]
        print(f"cruise {sd:.2f}  {rule:22s}  {'  '.join(told)}")
    off = {c: (found[f"found_under_{c}"] - found[c]).abs().max() for c in CASES}
    print("furthest off:", ", ".join(f"{c} {value:.1f}" for c, value in off.items()))
    print(", ".join(f"{name} {value:.1f}" for name, value in pulls(runs, seed).items()))


if __name__ == "__main__":
    main()
