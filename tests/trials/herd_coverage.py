"""Do the herd's 90 percent ranges hold the truth, with each mix of evidence?

    python tests/trials/herd_coverage.py [--herds 200] [--falls 5]

True herds of `invented_herds` on 200 acres, ``falls`` falls and springs on record. Printed by mix: percent of ranges
that hold deer a square mile, fawns a doe and growth of this fall, and the mean of high end over low end of the number.
The world that the fit is drawn from comes first, then others.
"""

import argparse
from dataclasses import replace

import numpy as np
from herd_thirty_years import AGES, BASE, SEED, Cell, _pictures, _prior
from invented_herds import LOCAL, LOST, World, counted, invented, kill_told

from woodlot.deer import doe_share, herd_fit
from woodlot.deer.herd_evidence import winter_half
from woodlot.deer.herd_fit import Fall, Ground
from woodlot.deer.herd_year import does, number

ALL = ("pellets", "kill", "cameras", "state")
MIXES = (("pellets",), ("pellets", "kill"), ("pellets", "cameras"), ALL, ("kill",), ("state",))
#: Neighbors' rates and groups a day as the fit draws them, so that worlds and fit are of one kind.
WORLDS = {
    "as the fit draws": replace(LOCAL, as_drawn=True),
    "local neighbors": LOCAL,
    "heavy neighbors": World((0.12, 0.50)),
    "other ages at first birth": replace(LOCAL, rates=AGES),
    "deer move in and out": replace(LOCAL, moving=0.1),
    "true rate 12.7": replace(LOCAL, groups_a_day=(12.7, 12.7)),
}


def covered(world: World, mix: tuple[str, ...], herds: int, falls: int) -> tuple[float, float, float, float]:
    """Percent of ranges that hold number, fawns a doe and growth; mean of high over low of the number."""
    truth, cell = invented(world, herds, SEED, BASE), Cell(200)
    held = np.zeros((herds, 3), dtype=bool)
    wide = np.zeros(herds)
    for at in range(herds):
        one, rng = truth.only(slice(at, at + 1)), np.random.default_rng([SEED, at, 4])
        kill = kill_told(rng, truth, at, BASE) if "kill" in mix else (None, None)
        ground = Ground(cell.own_ac, cell.range_ac, LOST, kill=kill)
        now, record, numbers = one.herds.now, [], []
        for fall in range(falls + 1):
            told = Fall(fall, **_pictures(rng, now, 1.0 if "cameras" in mix else None))
            numbers.append(number(now)[0])
            if "state" in mix and fall == falls:
                told = replace(told, state=(float(numbers[-1] * np.exp(0.4 * rng.standard_normal())), 0.4))
            if fall == falls:
                record.append(told)
                break
            left, then, cold = one.after(fall, now, (0.0, 0.0), ground.neighbors_share, ground.range_sqmi, BASE)
            told = replace(told, winter_loss=float(truth.losses[fall, at]))
            if "pellets" in mix:
                deer = float(winter_half(left, cold)[0] * truth.wobble[fall, at])
                told = replace(told, pellets=counted(rng, deer, truth.groups_a_day[at]))
            record.append(told)
            now = then
        begun = herd_fit.begun(_prior((kill[0] == 0, kill[1] == 0), 0.0), ground, 0, BASE)
        fit = herd_fit.weighed(herd_fit.through(begun, record, ground, SEED, BASE))
        first = np.mean([*numbers[:3]])
        true = (
            number(now)[0],
            2.0 * now[0, 0] / does(now)[0],
            doe_share.growth(now, one.herds.rates, first, BASE)[0],
        )
        drawn = number(fit.now), 2.0 * fit.now[0] / does(fit.now), doe_share.growing(fit, BASE)
        ends = [herd_fit.ends(x, fit.weights, 0.9) for x in drawn]
        held[at] = [low <= value <= high for value, (low, high) in zip(true, ends, strict=True)]
        wide[at] = ends[0][1] / ends[0][0]
    return *(100.0 * held.mean(axis=0)), float(wide.mean())


def main() -> None:
    """Each world, each mix."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--herds", type=int, default=200)
    asked.add_argument("--falls", type=int, default=5)
    given = asked.parse_args()
    print(f"{'world':28s} {'mix':32s} number fawns growth  high/low")
    for name, world in WORLDS.items():
        for mix in MIXES:
            n, f, g, wide = covered(world, mix, given.herds, given.falls)
            print(f"{name:28s} {' + '.join(mix):32s} {n:6.1f} {f:5.1f} {g:6.1f} {wide:9.2f}", flush=True)


if __name__ == "__main__":
    main()
