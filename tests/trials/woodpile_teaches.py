"""Does what a woodpile taught hold the truth nine times in ten? Invented families whose table and cords are off.

    python tests/trials/woodpile_teaches.py [FAMILIES] [SEED]

Each family's true wood stands off the table by 12 percent, its cords off by 8, its trees off by 20 each; its stacks are
taped to 5 percent and laid to 6. It notes some jobs of so many trees in a ledger, which ``wood.taught.learn`` reads.
Told are the share of families whose true table, and whose true stacked cords, lie within the learned 90 percent range,
its width, and the share of jobs that were not believed: once as it should be, once where a tenth of the wood of every
job stayed in the woods and nobody said so, with the jobs that are not believed left out as the program does.
"""

import sys
from datetime import date
from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.region import shipped
from woodlot.wood.taught import learn

TABLE_CV, CORD_CV, TREE_CV, TAPED, LAID = 0.12, 0.08, 0.20, 0.05, 0.06
Z, DAY = 1.6448536269514722, date(2030, 1, 1)
#: Jobs of a family, and trees of each.
DESIGNS = ((1, 1), (1, 5), (1, 10), (1, 30), (2, 10), (3, 10), (5, 10))


class Held(NamedTuple):
    """Percent of families whose truth the range held: table, stacked cords; half widths; jobs not believed."""

    table: float
    stacked: float
    table_width: float
    stacked_width: float
    not_believed: float


def families(jobs: int, trees: int, left: float, number: int, seed: int) -> Held:
    """Some families with so many jobs of so many trees, a share of whose wood is left in the woods unsaid."""
    draw, region = np.random.default_rng([seed, jobs, trees, round(100 * left)]), shipped("lake_states")
    table, cord = (np.sqrt(np.log1p(cv**2)) * draw.standard_normal(number) for cv in (TABLE_CV, CORD_CV))
    tree = np.exp(
        np.sqrt(np.log1p(TREE_CV**2)) * draw.standard_normal((number, jobs, trees)) - np.log1p(TREE_CV**2) / 2
    )
    pile = np.hypot(TAPED, LAID) * draw.standard_normal((number, jobs))
    size = draw.uniform(0.5, 1.5, (number, jobs, 1))  # cords of ten trees, all trees of a job alike
    told = np.broadcast_to(size / 10.0, tree.shape).sum(axis=2)
    stacked = (tree * size / 10.0).sum(axis=2) * np.exp((table + cord)[:, None] + pile) * (1.0 - left)
    text = [[f"job: j{j}; foretold {one:.6f} cords of {trees} trees" for j, one in enumerate(row)] for row in told]
    lines = pd.DataFrame({"line": range(jobs), "date": pd.Timestamp("2029-01-01"), "kind": "measured stack"})
    lines = lines.assign(unit="cord")
    learned = [
        learn(lines.assign(amount=stacked[at], text=text[at]), DAY, region=region, table_cv=TABLE_CV)
        for at in range(number)
    ]
    # under five trees in all nothing is learned: the range is the one before
    logs = np.array([[np.log(of.table_times), np.log(of.stacked_times)] if of.teach else [0.0, 0.0] for of in learned])
    cvs = np.array([[of.table_cv[bool(of.teach)], of.stacked_cv[bool(of.teach)]] for of in learned])
    side = Z * np.sqrt(np.log1p(cvs**2))
    held = 100.0 * (np.abs(np.column_stack([table, table + cord]) - logs) <= side).mean(axis=0)
    odd = 100.0 * np.mean([job.why is not None for of in learned for job in of.jobs])
    return Held(*held, *(100.0 * np.sinh(side).mean(axis=0)), odd)


def main(number: int = 2000, seed: int = 1) -> None:
    """Every design, whole and with a tenth left in the woods."""
    print(f"{number} families a row, seed {seed}; wanted 90")
    print("jobs  trees  left   table holds (width)   stacked holds (width)   not believed")
    for left in (0.0, 0.1):
        for jobs, trees in DESIGNS:
            of = families(jobs, trees, left, number, seed)
            print(
                f"{jobs:4}  {trees:5}  {left:4.1f}   {of.table:11.1f} ({of.table_width:5.1f})"
                f"   {of.stacked:13.1f} ({of.stacked_width:5.1f})   {of.not_believed:12.1f}"
            )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
