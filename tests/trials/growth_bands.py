"""Where does default growth fall beside published bands? Stands of each cover, size and site, none with a core.

    python tests/trials/growth_bands.py [SEED] [--beside CHECKOUT]

Each stand has five plots whose trees are drawn by the seed. For each prints its band (percent of cords a year; pine: of
basal area), growth by the equations and the site alone, as it is used, and its low and high end, all over ten years
uncut. ``--beside`` tells the same stands by an older checkout.
"""

import json
import os
import subprocess
import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

LON, LAT, FT_A_DEGREE, SIDE_FT = -89.4, 45.6, 364_600.0, 1320.0
PLOTS = 5
HARDWOODS = ["sugar maple"] * 5 + ["red maple"] * 2 + ["american basswood", "yellow birch"]
#: Cover, size, age, kinds on a plot, least and largest diameter [in], middle site index [ft].
STANDS: tuple[tuple[str, str, float | None, list[str], float, float, float], ...] = (
    ("northern hardwoods", "poles", None, HARDWOODS, 5.0, 9.5, 65.0),
    ("northern hardwoods", "sawtimber", None, HARDWOODS, 8.0, 18.0, 65.0),
    ("oak", "all", 90.0, ["northern red oak"] * 5 + ["white oak"] * 2 + ["red maple"] * 2, 8.0, 18.0, 65.0),
    ("aspen and birch", "30 years", 30.0, ["quaking aspen"] * 8, 5.0, 8.0, 70.0),
    ("aspen and birch", "50 years", 50.0, ["quaking aspen"] * 10, 6.0, 12.0, 70.0),
    ("aspen and birch", "age not written", None, ["quaking aspen"] * 10, 6.0, 12.0, 70.0),
    ("spruce and fir", "50 years", 50.0, ["balsam fir"] * 6 + ["white spruce"] * 4, 5.0, 11.0, 50.0),
    ("pine", "50 years", 50.0, ["red pine"] * 11, 7.0, 12.0, 60.0),
    ("cedar swamp", "all", None, ["northern white-cedar"] * 12 + ["balsam fir"], 5.0, 12.0, 35.0),
    ("low, wet hardwoods", "all", None, ["red maple"] * 6 + ["yellow birch"] * 2, 5.0, 12.0, 65.0),
)
#: Name of a site -> soil and site index over the middle.
SITES: dict[str, tuple[str | None, float | None]] = {
    "nothing known": (None, None),
    "loam": ("loam", None),
    "dry sand": ("dry sand", None),
    "site index -10": (None, -10.0),
}


def made(folder: Path, seed: int = 1) -> Path:
    """The folder of a place that holds every stand on every site, a square each, in one row."""
    draw = np.random.default_rng(seed)
    folder.mkdir(parents=True, exist_ok=True)
    wide, high = SIDE_FT / (FT_A_DEGREE * np.cos(np.radians(LAT))), SIDE_FT / FT_A_DEGREE
    shapes, plots, trees = [], [], []
    for cover, size, age, kinds, least, most, middle in STANDS:
        drawn = [[f"{kind},{draw.uniform(least, most):.1f}" for kind in kinds] for _ in range(PLOTS)]
        for site, (soil, off) in SITES.items():
            at, name = len(shapes), f"{cover} / {size} / {site}"
            x = LON + at * wide
            ring = [[x, LAT], [x + wide, LAT], [x + wide, LAT + high], [x, LAT + high], [x, LAT]]
            told = {"stand_id": name, "parcel_id": "home", "cover": cover, "age_yr": age, "soil": soil}
            told["site_index_ft"] = None if off is None else middle + off
            shape = {"type": "Polygon", "coordinates": [[[round(float(v), 7) for v in corner] for corner in ring]]}
            shapes.append({"type": "Feature", "properties": told, "geometry": shape})
            for k, rows in enumerate(drawn):
                plots.append(f'{at}-{k},"{name}",2026-09-0{k + 1},prism,10')
                trees += [f"{at}-{k},{j + 1},{row}" for j, row in enumerate(rows)]
    whole = [[LON, LAT], [LON + len(shapes) * wide, LAT], [LON + len(shapes) * wide, LAT + high], [LON, LAT + high]]
    home: dict[str, Any] = {"type": "Feature", "properties": {"parcel_id": "home", "name": "Home"}}
    home["geometry"] = {"type": "Polygon", "coordinates": [[*whole, whole[0]]]}
    for table, features in (("parcels", [home]), ("stands", shapes)):
        text = json.dumps({"type": "FeatureCollection", "features": features})
        (folder / f"{table}.geojson").write_text(text)
    (folder / "plots.csv").write_text("\n".join(["plot_id,stand_id,date,kind,baf_sqft_per_ac", *plots, ""]))
    (folder / "trees.csv").write_text("\n".join(["plot_id,tree,species,dbh_in", *trees, ""]))
    (folder / "place.toml").write_text('name = "Home"\nregion = "lake_states"\n')
    return folder


def rows(folder: Path) -> pd.DataFrame:
    """One row a stand: name, percent a year over ten years at the low, middle and high end, of cords or, for pine, of
    basal area, and what this checkout knows of its band.
    """
    from woodlot import place
    from woodlot.plan.woods import run
    from woodlot.season import season

    asked = season(place.read(folder, as_of=date(2026, 11, 25)))
    woods = asked.woods
    pine = (woods.stands["cover"] == "pine").to_numpy()
    out = pd.DataFrame({"stand": woods.stands["stand_id"].to_numpy()})
    for case in ("low", "mid", "high"):
        path = run(woods, 10, case, region=asked.place.region)
        cords, basal = ((one[-1] / one[0] - 1.0) * 10.0 for one in (path.cords, path.basal))
        out[case] = np.where(pine, basal, cords)
    for name in ("band_low_pct", "band_high_pct", "default_pct", "held", "place_log_sd", "stand_log_sd"):
        out[name] = woods.stands[name].to_numpy() if name in woods.stands else np.nan
    return out


def beside(folder: Path, checkout: Path) -> pd.DataFrame:
    """The same stands by another checkout, in a process of its own."""
    ours = [sys.executable, __file__, "--rows", str(folder)]
    env = os.environ | {"PYTHONPATH": str(checkout)}
    done = subprocess.run(ours, env=env, capture_output=True, text=True, check=True, cwd=folder)
    return pd.DataFrame(json.loads(done.stdout))


def main(args: list[str]) -> int:
    """Print the table; the number of stands over their band is the exit code."""
    if args[:1] == ["--rows"]:
        print(rows(Path(args[1])).to_json(orient="records"))
        return 0
    seed = int(args[0]) if args and args[0].isdigit() else 1
    with tempfile.TemporaryDirectory() as scratch:
        told = rows(made(Path(scratch), seed))
        if "--beside" in args:
            older = beside(Path(scratch), Path(args[args.index("--beside") + 1]).resolve())
            for case in ("low", "mid", "high"):
                told[f"{case} before"] = older[case].to_numpy()
    print(told.drop(columns=["place_log_sd", "stand_log_sd"]).round(2).to_string(index=False))
    over = told["mid"] > 1.001 * told["band_high_pct"]
    print(f"{int(told['held'].sum())} of {len(told)} are held, {int(over.sum())} over their band")
    return int(over.sum())


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
