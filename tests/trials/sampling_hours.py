"""How many plots fewer give the width that an older checkout gave?

    python tests/trials/sampling_designs.py --csv NOW.csv
    PYTHONPATH=CHECKOUT python tests/trials/sampling_designs.py --csv THEN.csv
    python tests/trials/sampling_hours.py NOW.csv THEN.csv

For clumped and patchy places of 5 stands: median half-width of the range of a stand and of the place with so many plots
in each stand by the older code, and the plots that give that width now, between those tried along straight lines of
logarithms. One plot in five saved is a fifth of the hours.
"""

import sys

import numpy as np
import pandas as pd


def widths(file: str) -> pd.Series:
    """Median width by kind of woods, of what, and plots in each stand."""
    rows = pd.read_csv(file)
    kind = rows["design"].str.extract(r"^(clumped|patchy) (\d+)$")
    rows = rows.assign(kind=kind[0], plots=kind[1].astype(float))[kind[0].notna() & rows["of"].isin(["stand", "place"])]
    return rows.set_index(["kind", "of", "plots"])["median_width"].dropna().sort_index()


def plots_for(now: pd.Series, width: float) -> float:
    """Plots in each stand that give a width now; ``now`` by plots."""
    x, y = np.log(now.index.to_numpy(dtype=float)), np.log(now.to_numpy())
    return float(np.exp(np.interp(-np.log(width), -y, x)))


def main() -> None:
    """Print a row for each width of the older code."""
    now, then = (widths(file) for file in sys.argv[1:3])
    print("woods    of     plots then  width  plots now  saved %")
    for (kind, of, plots), width in then.items():
        wanted = plots_for(now[kind, of], width)
        print(f"{kind:8} {of:6} {plots:10.0f} {width:6.1f} {wanted:10.1f} {100.0 * (1.0 - wanted / plots):8.0f}")


if __name__ == "__main__":
    main()
