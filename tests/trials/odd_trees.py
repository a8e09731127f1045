"""What share of trees is asked about, right ones and ones with a slip made by machine?

    python tests/trials/odd_trees.py

Right trees: those of the samples and measured ones, 258 by laser scanner at Front Royal, Virginia (Stovall and others
2018; SCBI-ForestGEO tree_dimensions/tree_heights) and 31 black cherries of Pennsylvania (Ryan, Joiner, Ryan), both in
tests/printed/measured_heights.csv; where ../shared/reference lies beside the checkout also the diameters of the
remeasured trees there. No open data with merchantable heights were found: right ones are the 4-in top of the national
equations, reached in full or ended by a fork between half of it and all.
"""

from pathlib import Path

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.doubts import doubts
from woodlot.place.odd_trees import FEW, odd_rules
from woodlot.region import shipped
from woodlot.tree.frame import volumes
from woodlot.units import CM_PER_IN, IN_PER_FT, LOG_FT, M_PER_FT

ROOT = Path(__file__).parents[2]
REFERENCE = ROOT.parent / "shared" / "reference"
REGION = shipped("lake_states")
SEED = 12
NUMBERS = ("dbh_in", "height_ft", "merch_ft", "logs_16ft")
STICKS_FT = {"100-in sticks": 100 / IN_PER_FT, "8-ft sticks": 8.0, "16-ft logs": LOG_FT + 0.3}


def trees(frame: pd.DataFrame) -> pd.DataFrame:
    """Trees with all the columns that are looked at, numbered from 0; those without a diameter are left out."""
    out = frame.reindex(columns=["species", *NUMBERS, "alive"])
    known = REGION.species.names | {"red hickory": "pignut hickory"}
    out["species"] = [known.get(str(name).lower().replace("-", " "), "") for name in out["species"]]
    out = out.astype(dict.fromkeys(NUMBERS, "float64"))
    out["alive"] = ~out["alive"].astype(str).str.lower().isin(["no", "false"])
    return out[(out["species"] != "") & out["dbh_in"].notna()].reset_index(drop=True)


def asked(frame: pd.DataFrame) -> np.ndarray:
    """Which trees are refused or asked about, one by one: where a column looks odd as a whole, a few at a time."""
    out = np.zeros(len(frame), dtype=bool)
    faults: list[Fault] = []
    doubts(Sheet("trees", "trees.csv", frame.assign(cull_pct=np.nan), np.arange(len(frame))), faults, [], region=REGION)
    out[[fault.row for fault in faults if fault.row is not None]] = True
    rules = odd_rules(frame, REGION)
    if not any(rule.of_column for rule in rules):
        return out | np.any([rule.where for rule in rules], axis=0)
    for start in range(0, len(frame), FEW - 1):
        few = frame.iloc[start : start + FEW - 1].reset_index(drop=True)
        out[start : start + len(few)] |= np.any([rule.where for rule in odd_rules(few, REGION)], axis=0)
    return out


def columns_asked(frame: pd.DataFrame, draws: int = 40, many: int = 40) -> float:
    """Share of draws of ``many`` of the trees of which a column is asked about as a whole."""
    rng = np.random.default_rng(SEED)
    found = 0
    for _ in range(draws):
        some = frame.iloc[np.sort(rng.choice(len(frame), min(many, len(frame)), replace=False))].reset_index(drop=True)
        found += any(rule.of_column for rule in odd_rules(some, REGION))
    return found / draws


def measured() -> pd.DataFrame:
    """The 289 measured trees."""
    return trees(pd.read_csv(ROOT / "tests" / "printed" / "measured_heights.csv"))


def right() -> dict[str, pd.DataFrame]:
    """Trees on which no slip is known."""
    out = {}
    for file in ("otter_lake/trees.csv", "otter_lake/tally.csv", "first_forty/trees.csv"):
        out[file] = trees(pd.read_csv(ROOT / "sample_parcels" / file))
    out["measured heights"] = measured()
    if REFERENCE.is_dir():
        woods = pd.read_csv(REFERENCE / "forest_growth_bigwoods_trees.csv")
        out["Big Woods, diameters"] = trees(woods.rename(columns={"dbh_2014_in": "dbh_in"})[["species", "dbh_in"]])
        michigan = pd.read_csv(REFERENCE / "forest_growth_umbs_trees.csv").query("health == 'live'")
        out["northern Michigan, diameters"] = trees(michigan[["species", "dbh_in"]])
    return out


def with_merch() -> tuple[pd.DataFrame, pd.Series]:
    """Measured trees from 5 in up, and the height of their 4-in top above the stump (derived)."""
    real = measured().query("dbh_in >= 5").reset_index(drop=True)
    return real, volumes(real[["species", "dbh_in", "height_ft"]], region=REGION)["merch_top_ft"] - 1


def right_merch() -> dict[str, pd.DataFrame]:
    """Measured trees with a merchantable height that is right."""
    real, top = with_merch()
    forks = np.random.default_rng(SEED).uniform(0.5, 1.0, len(real))
    out = {"4-in top": top, "ended by forks": top * forks}
    return {what: real.assign(merch_ft=merch.round()) for what, merch in out.items()}


def slips() -> dict[str, pd.DataFrame]:
    """Measured trees from 5 in up with one slip each, the same in every row."""
    real, top = with_merch()
    rng = np.random.default_rng(SEED)
    turned = real["height_ft"].round().astype(int).astype(str).str[::-1].astype(float)
    out = {
        "height in meters": real.assign(height_ft=real["height_ft"] * M_PER_FT),
        "diameter in cm, with height": real.assign(dbh_in=real["dbh_in"] * CM_PER_IN),
        "point of the diameter lost": real[real["dbh_in"] < 20].assign(dbh_in=lambda f: f["dbh_in"] * 10),
        "a tenth of the diameter": real.assign(dbh_in=real["dbh_in"] / 10),
        "a 1 before the height": real.assign(height_ft=real["height_ft"] + 100),
        "digits of the height turned": real.assign(height_ft=turned)[(turned - real["height_ft"]).abs() > 15],
        "height of another tree": real.assign(height_ft=rng.permutation(real["height_ft"])),
        "sticks as logs_16ft": real.assign(logs_16ft=top.floordiv(STICKS_FT["100-in sticks"])).query("logs_16ft >= 2"),
        "merch_ft in meters": real.assign(merch_ft=(top * M_PER_FT).round()),
    }
    for what, feet in STICKS_FT.items():
        out[f"merch_ft in {what}"] = real.assign(merch_ft=top.floordiv(feet)).query("merch_ft >= 1")
    woods = right().get("Big Woods, diameters")
    if woods is not None:
        out["diameter in cm, alone"] = woods.assign(dbh_in=woods["dbh_in"] * CM_PER_IN)
    return {what: frame.reset_index(drop=True) for what, frame in out.items()}


if __name__ == "__main__":
    print(f"{'':36}{'trees':>7}{'asked one by one':>20}{'columns of 40 asked':>22}")
    for head, tables in (("right", right() | right_merch()), ("slips", slips())):
        print(head)
        for what, frame in tables.items():
            share, column = asked(frame).mean(), columns_asked(frame)
            print(f"  {what:34}{len(frame):7,}{100 * share:19.2f}%{100 * column:21.0f}%", flush=True)
