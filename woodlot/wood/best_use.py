"""What each tree gives when it is cut for its best use and nobody asks for anything.

best_use    one row a tree: worth, logs, posts, heat, chips

A forester weighs a cut by this: what stands there is logs by their grade and species, posts that last, and the heat of
all the rest.
"""

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.tree.inputs import living
from woodlot.tree.volume import volumes
from woodlot.wood import fell_program, fell_ways
from woodlot.wood.stock import cuyd_per_cuft

__all__ = ["best_use"]

_COLUMNS = (
    "value",
    "log_bdft",
    "log_cuft",
    "grade1_bdft",
    "grade2_bdft",
    "lasting_posts",
    "stem_fire_cuft",
    "heat_mmbtu",
    "chips_cuyd",
)


def best_use(
    trees: pd.DataFrame, *, division: str, solid_cuft_per_cord: float, log_rule: str, region: Region
) -> pd.DataFrame:
    """What each tree gives at its best use.

    Parameters
    ----------
    trees
        Species, dbh_in and what else tally.csv holds; volumes are worked out where they are not there yet.
    division, solid_cuft_per_cord, log_rule, region
        As for volumes, cords and board feet.

    Returns
    -------
    One row a tree under its index: value (index, 1 a board foot in a grade-1 log of red oak); log_bdft and log_cuft;
    grade1_bdft and grade2_bdft (at best, by size; faces not seen); lasting_posts; stem_fire_cuft (sound, of the stem);
    heat_mmbtu (gross, of that and of the counted part of limbs); chips_cuyd (fine limbs and tip). Dead trees and those
    without a volume give nothing.
    """
    whole = trees if "wood_cuft" in trees else volumes(trees, division, region=region)
    alive = living(whole)
    program = fell_program.program(whole, alive, [], log_rule, solid_cuft_per_cord, division, region=region)
    value, ways = fell_ways.priced(program, np.zeros(0))
    of, cuts, n = program.stock, ways.cuts, program.count
    kind = np.array([c.kind for c in program.choices], dtype=object)[cuts.choice]
    end = cuts.place + program.steps[cuts.choice]
    out = {name: np.zeros(n) for name in _COLUMNS}
    for feet in {c.length_ft for c in program.choices if c.kind == "sawlog"}:
        one = next(c for c in program.choices if c.kind == "sawlog" and c.length_ft == feet)
        here = np.flatnonzero((kind == "sawlog") & (np.isin(cuts.choice, _of_length(program, feet))))
        stem, top = cuts.stem[here], of.dib[end[here], cuts.stem[here]]
        bdft = of.worths.bdft(one, stem, top)
        grade = of.worths.grade(feet, stem, top, cuts.place[here] == 0)
        cuft = (of.below[end[here], stem] - of.below[cuts.place[here], stem]) * of.factor[stem]
        for name, amount in (("log_bdft", bdft), ("log_cuft", cuft)):
            out[name] += np.bincount(stem, amount, minlength=n)
        for number in (1, 2):
            out[f"grade{number}_bdft"] += np.bincount(stem, bdft * (grade == number), minlength=n)
    out["value"] = value
    out["lasting_posts"] = np.bincount(cuts.stem[kind == "post"], minlength=n).astype(float)
    out["stem_fire_cuft"] = program.stove_cuft(np.arange(n), cuts.place, cuts.choice, cuts.stem)
    out["heat_mmbtu"] = (out["stem_fire_cuft"] + of.limbs_cuft) * of.heat
    out["chips_cuyd"] = of.brush_cuft * cuyd_per_cuft(region=region)
    made = pd.DataFrame(out, index=whole.index[program.rows])
    return made.reindex(whole.index, fill_value=0.0)


def _of_length(program: fell_ways.Program, feet: float) -> list[int]:
    """Choices of one length."""
    return [k for k, c in enumerate(program.choices) if c.length_ft == feet]
