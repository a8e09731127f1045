"""Places of the hundred-year trial: true stand tables, of our own invention but the sample.

    places()   name -> Wood, the sample first

Each is told as a family would see it from above: acres, cover, what stands there. The plots are drawn from it later.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot.region import Region, shipped
from woodlot.stand import grow
from woodlot.units import basal_sqft

SAMPLE = Path(__file__).parents[2] / "sample_parcels" / "otter_lake"
SAMPLE_DAY = "2026-11-25"
REGION = shipped("lake_states")
HARDWOODS, ASPEN, OAK, PINE = "northern hardwoods", "aspen and birch", "oak", "pine"
SPRUCE, CEDAR, WET = "spruce and fir", "cedar swamp", "low, wet hardwoods"
MIX = {
    HARDWOODS: {"sugar maple": 0.6, "red maple": 0.15, "american basswood": 0.15, "yellow birch": 0.1},
    ASPEN: {"quaking aspen": 0.85, "red maple": 0.1, "balsam fir": 0.05},
    OAK: {"northern red oak": 0.5, "white oak": 0.2, "red maple": 0.2, "black cherry": 0.1},
    PINE: {"red pine": 0.75, "jack pine": 0.1, "northern pin oak": 0.15},
    SPRUCE: {"white spruce": 0.4, "balsam fir": 0.3, "northern white-cedar": 0.2, "paper birch": 0.1},
}


@dataclass(frozen=True)
class Wood:
    """A true wood: kinds, trees per acre (species, class, stand), and stands as a family writes them (stand_id, cover,
    acres, age_yr, site_index_ft, soil).
    """

    species: list[str]
    trees: np.ndarray
    stands: pd.DataFrame
    region: Region = REGION


@dataclass(frozen=True)
class Cover:
    """One stand: cover, acres, basal area [sq ft/ac], mean diameter and its spread [in], share of each kind of the basal
    area (None: usual for the cover), age and site index where they are written.
    """

    cover: str
    acres: float
    basal: float
    mean_in: float = 10.0
    sd_in: float = 3.5
    kinds: Mapping[str, float] | None = None
    age_yr: float = np.nan
    site_index_ft: float = np.nan
    soil: str | None = None


def made(covers: list[Cover], region: Region = REGION) -> Wood:
    """The true wood of some stands: each kind's stems on a bell of diameters, scaled to its share of the basal area."""
    each = [dict(MIX[one.cover] if one.kinds is None else one.kinds) for one in covers]
    species = sorted({name for kinds in each for name in kinds})
    sizes = grow.classes(region=region)
    trees = np.zeros((len(species), len(sizes), len(covers)))
    for at, (one, kinds) in enumerate(zip(covers, each, strict=True)):
        bell = np.exp(-0.5 * ((sizes - one.mean_in) / one.sd_in) ** 2) * (sizes <= one.mean_in + 3.0 * one.sd_in)
        stems = one.basal * bell / (bell @ basal_sqft(sizes))
        for name, share in kinds.items():
            trees[species.index(name), :, at] = share * stems
    names = ("cover", "acres", "age_yr", "site_index_ft", "soil")
    stands = pd.DataFrame([{name: getattr(one, name) for name in names} for one in covers])
    stands.insert(0, "stand_id", [str(at + 1) for at in range(len(covers))])
    return Wood(species, trees, stands, region)


def sample() -> Wood:
    """The sample as its plots tell it on the day: stands without plots are left out, acres are those to be worked."""
    from datetime import date

    from woodlot import place as places_of
    from woodlot.season import season

    this = season(places_of.read(SAMPLE, as_of=date.fromisoformat(SAMPLE_DAY)))
    woods, to_work = this.woods, this.to_work.set_index("stand_id")
    stands = woods.stands[["stand_id", "cover", "age_yr", "site_index_ft"]].copy()
    stands["acres"] = to_work["workable_ac"].reindex(stands["stand_id"]).to_numpy(dtype=float)
    stands["soil"] = None
    there = (woods.stands["way"] != "none").to_numpy() & (stands["acres"] > 0.0).to_numpy()
    trees = woods.trees[:, :, there]
    some = trees.any(axis=(1, 2))
    species = [name for name, any_tree in zip(woods.species, some, strict=True) if any_tree]
    return Wood(species, trees[some], stands[there].reset_index(drop=True), this.place.region)


def places() -> dict[str, Wood]:
    """All places of the trial."""
    old_pine = {"red pine": 0.6, "jack pine": 0.15, "northern pin oak": 0.25}
    dry_oak = {"northern pin oak": 0.6, "jack pine": 0.15, "red maple": 0.25}
    return {
        "Otter Lake (sample)": sample(),
        "120 ac full hardwoods": made(
            [
                Cover(HARDWOODS, 50.0, 150.0, 11.0),
                Cover(HARDWOODS, 40.0, 152.0, 12.0),
                Cover(HARDWOODS, 30.0, 148.0, 9.0),
            ]
        ),
        "40 ac aspen of 62, 60 ac hardwoods": made(
            [
                Cover(ASPEN, 40.0, 120.0, 9.5, 2.5, age_yr=62.0, site_index_ft=70.0),
                Cover(HARDWOODS, 35.0, 95.0),
                Cover(HARDWOODS, 25.0, 110.0, 11.0),
            ]
        ),
        "312 ac spruce, fir, cedar": made(
            [
                Cover(SPRUCE, 120.0, 90.0, 8.0, 2.5),
                Cover(SPRUCE, 100.0, 99.0, 8.0, 2.5),
                Cover(SPRUCE, 92.0, 102.0, 8.5, 2.5),
            ]
        ),
        "80 ac oak on loam": made(
            [Cover(OAK, 45.0, 105.0, 12.0, 4.0, soil="loam"), Cover(OAK, 35.0, 85.0, 10.0, soil="loam")]
        ),
        "60 ac pine and oak on dry sand": made(
            [
                Cover(PINE, 25.0, 140.0, 10.0, 2.5, old_pine, soil="dry sand"),
                Cover(OAK, 20.0, 80.0, 8.0, 2.5, dry_oak, soil="dry sand"),
                Cover(OAK, 15.0, 95.0, 9.0, 3.0, dry_oak, soil="dry sand"),
            ]
        ),
        "9 ac, three small stands": made(
            [
                Cover(HARDWOODS, 4.0, 110.0),
                Cover(SPRUCE, 2.0, 125.0, 8.0, 2.5),
                Cover(ASPEN, 3.0, 95.0, 8.0, 2.0, age_yr=38.0, site_index_ft=68.0),
            ]
        ),
    }
