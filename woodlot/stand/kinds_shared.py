"""Trees known only as a kind of several species, shared out over the species seen beside them.

shared_out   tallied trees with the species each is told as

A forester wants to know how much maple there is for a sale or for boards, and that a third of it was only written down
as hardwood. So a tree nobody named counts for the species of its kind in the shares that those have beside it, and the
range allows for all of it being one of them or none. The tree itself stays what was written: its volume, its growth
and what is cut of it go by the kind.
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.region import Region

__all__ = ["shared_out"]

#: Grounds by which a kind is shared out, nearest first.
GROUNDS: tuple[list[str], ...] = (["stand_id", "size"], ["stand_id"], ["cover"], [])


def shared_out(trees: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """Live trees with the species each is told as in sums by species.

    Parameters
    ----------
    trees
        Expanded trees: stand_id, cover, species, dbh_in, alive, trees_per_ac, basal_sqft_per_ac.
    region
        Whose species are used.

    Returns
    -------
    The live trees with told_as (species), shared (of a kind that is shared out) and doubt (how far the tree's amount
    may be off, as a share of it: 0 for one that is what was written). A tree of a kind stands in as many rows as it has
    species, trees_per_ac and basal_sqft_per_ac in shares that add up to it. Where none of its species is known anywhere
    it is told as the kind.

    Notes
    -----
    By basal area of trees known to be of the kind (a narrower kind that stays one counts as a species): of its size in
    its stand; where fewer than ``known_trees`` of those were tallied of its stand, of its cover, of all. doubt is that
    of all or none being the species, sqrt(q(1 - q))/p with p the share and q = (m p + 1)/(m + 2) for m known trees.
    """
    live = trees[trees["alive"].to_numpy()].copy()
    step = region.figure("defaults_sampling", "size_step_in")
    live["size"] = (live["dbh_in"].astype(float) // step).fillna(-1.0)
    live["shared"], live["doubt"], live["told_as"] = False, 0.0, live["species"].astype(str)
    names = live["told_as"].unique().tolist()
    kinds = sorted(
        (n for n in names if len(region.species.members(n)) > 1), key=lambda n: len(region.species.members(n))
    )
    if not kinds:
        return live.drop(columns="size")
    enough = int(region.figure("defaults_sampling", "known_trees"))
    counts = live.groupby(["stand_id", "cover", "size", "told_as"], sort=True, dropna=False)["basal_sqft_per_ac"]
    seen = counts.agg(basal="sum", trees="size").reset_index()
    rules = []
    for kind in kinds:
        inside = [n for n in names if n != kind and set(region.species.members(n)) < set(region.species.members(kind))]
        seen, rule = _rule(seen, kind, inside, enough)
        rules.append(rule)
    rule = pd.concat(rules, ignore_index=True)
    return _spread(live, rule).drop(columns="size")


def _rule(seen: pd.DataFrame, kind: str, inside: Sequence[str], enough: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """What was seen with one kind shared out; by stand and size its species with their shares and doubts."""
    known, asked = seen[seen["told_as"].isin(inside)], seen[seen["told_as"] == kind]
    at = asked[["stand_id", "cover", "size", "basal"]].assign(kind=kind)
    left, found = at, []
    for ground in GROUNDS:
        least = enough if ground else 1
        near = known.assign(all=0).groupby([*(ground or ["all"]), "told_as"], sort=True)[["basal", "trees"]].sum()
        near = near.reset_index()
        whole = near.groupby(ground or ["all"])[["basal", "trees"]].transform("sum")
        near["p"], near["m"] = near["basal"] / whole["basal"], whole["trees"]
        near = near[(near["m"] >= least) & (near["p"] > 0)]
        some = left.assign(all=0).merge(near[[*(ground or ["all"]), "told_as", "p", "m"]], on=ground or ["all"])
        found.append(some.drop(columns="all", errors="ignore"))
        done = pd.MultiIndex.from_frame(some[["stand_id", "size"]])
        left = left[~pd.MultiIndex.from_frame(left[["stand_id", "size"]]).isin(done)]
    rule = pd.concat(found, ignore_index=True)
    q = (rule["m"] * rule["p"] + 1.0) / (rule["m"] + 2.0)
    rule["doubt"] = np.sqrt(q * (1.0 - q)) / rule["p"]
    more = rule.assign(basal=rule["basal"] * rule["p"], trees=0)[
        ["stand_id", "cover", "size", "told_as", "basal", "trees"]
    ]
    rest = seen[
        (seen["told_as"] != kind)
        | ~seen.set_index(["stand_id", "size"]).index.isin(pd.MultiIndex.from_frame(rule[["stand_id", "size"]]))
    ]
    return pd.concat([rest, more], ignore_index=True), rule


def _spread(live: pd.DataFrame, rule: pd.DataFrame) -> pd.DataFrame:
    """Trees with those of a shared kind in as many rows as it has species."""
    on = ["stand_id", "size", "species"]
    at = pd.MultiIndex.from_frame(live[on])
    mine = at.isin(pd.MultiIndex.from_frame(rule[["stand_id", "size", "kind"]]))
    some = live[mine].drop(columns=["told_as", "doubt", "shared"])
    by = rule[["stand_id", "size", "kind", "told_as", "p", "doubt"]].rename(columns={"kind": "species"})
    out = some.merge(by, on=on, how="left")
    out["shared"] = True
    for name in ("trees_per_ac", "basal_sqft_per_ac"):
        out[name] *= out["p"]
    return pd.concat([live[~mine], out.drop(columns="p")], ignore_index=True)
