"""Will the next forest come up? One verdict of six from all that was counted, why, and what to do about it.

next_forest   every table -> the verdict of today with its steps, and the share stocked by each rule
verdict       limits of the share, the need, and what is known of fence, light, food and fillers -> the key

A forester wants to know whether enough young trees of kinds worth having stand where the old ones will be cut, and if
not, whether deer, shade or other growth is in the way, before time and money go to the wrong one.

Shade alone leaves few stems over a foot, so deer are accused only by a fence, or where there is light and they are seen
to bite or a kind they like is gone.
"""

from collections.abc import Mapping
from datetime import date
from math import exp
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from woodlot.deer import browse as browsing
from woodlot.deer.answer import Stocking, Words
from woodlot.deer.browse import SETS, preference_table
from woodlot.deer.defaults import default, default_range
from woodlot.deer.forest_answer import (
    CANT_SAY,
    COMING_UP,
    FILLERS,
    HELD,
    NOT_SHOWN,
    TOO_DARK,
    ForestYear,
    NextForest,
)
from woodlot.deer.forest_floor import Overhead, floor, least_sure
from woodlot.deer.forest_steps import HIGH, steps_to_take
from woodlot.deer.seedlings import (
    effect_and_df,
    latest,
    open_plots,
    plots_wanted,
    rule_of,
    share_stocked,
    stocked_plots,
    stocking,
    visits,
    with_groups,
)
from woodlot.estimate import LEVEL, Estimate, Reason, reason, t_quantile
from woodlot.region import Region

__all__ = ["next_forest", "verdict"]

TALL = ["from_3_to_5ft", "over_5ft"]
OVER_A_FOOT = ["from_1_to_3ft", *TALL]
LEAST_PAIRS = 3


class _Seen(NamedTuple):
    """What the seedling plots of one year say."""

    verdict: str
    code: int | None
    share: Estimate
    effect: float
    stocked: int
    rule: Mapping[str, Any]
    plots: pd.DataFrame
    lit: int
    light_from: str
    fence: Estimate
    pairs: int
    missing: tuple[tuple[str, int], ...]
    fillers: int
    filler_kinds: tuple[str, ...]


def next_forest(
    seedlings: pd.DataFrame | None,
    browse: pd.DataFrame | None,
    pellets: pd.DataFrame | None,
    over: Overhead,
    *,
    own: Mapping[str, str] | None,
    state: str | None,
    as_of: date,
    region: Region,
    level: float = LEVEL,
) -> tuple[NextForest[Estimate, Words], tuple[Stocking[Estimate, Words], ...]]:
    """The verdict of today, and the share of plots with enough by each rule.

    seedlings, browse, pellets: the family's tables; over: the cruise; own: what deer make of kinds here; state: whose
    permits are told. The verdict is worked at 0.90 whatever ``level`` the ranges have.
    """
    codes = {
        year: browsing.impact(rows, plots, region).code
        for year, plots, rows in browsing.by_spring(browse, as_of, own, region)
    }
    rows = with_groups(visits(seedlings, as_of), region)
    years = sorted({*rows["year"], *codes})
    seen = {y: _seen(rows, browse, pellets, over, y, _code_of(codes, y), own, region) for y in sorted({*rows["year"]})}
    history = tuple(ForestYear(int(y), seen[y].verdict if y in seen else "", codes.get(y)) for y in years)
    code = codes[max(codes)] if codes else None
    if not seen:
        return _nothing_counted(code, history, state, region, level), ()
    now = seen[max(seen)]
    here = open_plots(latest(rows, max(seen), region))
    lines = now.plots["line"]
    here = here.assign(line=here["plot"].map(lines))
    rules = tuple(stocking(here, now.code, region, level))
    shown = rules[0].stocked_pct if rules else now.share
    return _told(now, shown, history, _standing_yr(rows, as_of), state, region), rules


def _code_of(codes: Mapping[int, int | None], year: int) -> int | None:
    """The browse code of the last spring up to a year."""
    before = [y for y in codes if y <= year]
    return codes[max(before)] if before else None


def verdict(
    low: float | None,
    high: float | None,
    need: float,
    *,
    fence_low: float | None,
    lit: float | None,
    dark: float | None,
    code: int | None,
    missing: bool,
    fillers: float,
    region: Region,
) -> str:
    """One of the six verdicts. low, high: limits of the share stocked, need: all of one unit; fence_low: lower limit of
    stems inside over outside; lit, dark, fillers: shares of plots with enough light, with less, and under fillers.
    """
    if low is None or high is None or low < need <= high:
        return CANT_SAY
    if low >= need:
        return COMING_UP
    if fence_low is not None and fence_low > default("fence_ratio", region):
        return HELD
    pressed = (code is not None and code >= HIGH) or missing
    if lit is not None and lit >= 0.5 and pressed:
        return HELD
    if dark is not None and dark > 0.5:
        return TOO_DARK
    return FILLERS if fillers >= 0.5 and (code or 0) < HIGH else NOT_SHOWN


def _seen(
    rows: pd.DataFrame,
    browse: pd.DataFrame | None,
    pellets: pd.DataFrame | None,
    over: Overhead,
    year: int,
    code: int | None,
    own: Mapping[str, str] | None,
    region: Region,
) -> _Seen:
    here = latest(rows, year, region)
    every = floor(here, (pellets, browse), over, region)
    fence, pairs = _fence(here, every)
    plots, free = every[~every["fenced"]], open_plots(here)
    rule = rule_of(code, region)[0]
    stocked = stocked_plots(rule, free).reindex(plots.index)
    if len(plots):
        share = share_stocked(stocked, plots["line"], region)
        effect = effect_and_df(stocked, plots["line"], region)[0]
    else:
        share, effect = _no_share(0, region), default("seedling_design_effect", region)
    enough = default("light_enough", region)
    lit, dark = int((plots["light"] >= enough).sum()), int((plots["light"] < enough).sum())
    fillers, kinds = _fillers(free)
    missing = _missing(free, plots, browse, year, own, region)
    n = max(len(plots), 1)
    found = verdict(
        share.low,
        share.high,
        100 * float(rule["share_of_plots"]),
        fence_low=fence.low,
        lit=lit / n,
        dark=dark / n,
        code=code,
        missing=bool(missing),
        fillers=fillers / n,
        region=region,
    )
    return _Seen(
        found,
        code,
        share,
        effect,
        int(stocked.sum()),
        rule,
        plots,
        lit,
        least_sure(plots),
        fence,
        pairs,
        missing,
        fillers,
        kinds,
    )


def _no_share(n: int, region: Region, level: float = LEVEL) -> Estimate:
    why = reason("few plots to stock", n=n, least=int(default("seedling_least_plots", region)))
    return Estimate(None, "percent", level=level, why=why)


def _fence(rows: pd.DataFrame, plots: pd.DataFrame) -> tuple[Estimate, int]:
    """Young stems inside fences over those outside, and pairs: the mean of logarithms with t for the pairs.

    Stems over a foot of kinds that make the next forest, brought to the smaller ground of the two.
    """
    stems = rows[rows["counts"] == "yes"].groupby("plot")[OVER_A_FOOT].sum().sum(axis=1)
    ground = rows.groupby("plot")["radius_ft"].first() ** 2
    each = pd.DataFrame({"stems": stems.reindex(plots.index).fillna(0.0), "ground": ground}, index=plots.index)
    inside, outside = (each[plots["fenced"] == side].groupby(plots["pair"]).sum() for side in (True, False))
    pairs = inside.add_suffix("_in").join(outside.add_suffix("_out"), how="inner")
    n = len(pairs)
    if not n:
        return Estimate(None, "times", why=reason("no fence pairs")), 0
    least = pairs[["ground_in", "ground_out"]].min(axis=1)
    within, without = (pairs[f"stems_{side}"] * least / pairs[f"ground_{side}"] for side in ("in", "out"))
    logs = np.log(((within + 0.5) / (without + 0.5)).to_numpy(dtype=float))
    middle, spread = float(logs.mean()), float(logs.std(ddof=1)) if n > 1 else 0.0
    if n < LEAST_PAIRS or spread == 0:
        return Estimate(exp(middle), "times", n=n, why=reason("few fence pairs", n=n)), n
    half = t_quantile(LEVEL, n - 1) * spread / n**0.5
    return Estimate(exp(middle), "times", exp(middle - half), exp(middle + half), LEVEL, "interval", df=n - 1, n=n), n


def _fillers(rows: pd.DataFrame) -> tuple[int, tuple[str, ...]]:
    """Plots with more stems over 3 feet of kinds nobody waits for than of those that count, and which."""
    tall = rows[TALL].sum(axis=1)
    by = {k: tall.where(rows["counts"] == k, 0.0).groupby(rows["plot"]).sum() for k in ("yes", "no")}
    over = by["no"].index[by["no"] > by["yes"]]
    there = rows["plot"].isin(over) & (rows["counts"] == "no") & (tall > 0)
    kinds = tall[there].groupby(rows["species"]).sum().sort_values(ascending=False, kind="stable")
    return len(over), tuple(kinds.index)


def _missing(
    rows: pd.DataFrame,
    plots: pd.DataFrame,
    browse: pd.DataFrame | None,
    year: int,
    own: Mapping[str, str] | None,
    region: Region,
) -> tuple[tuple[str, int], ...]:
    """Kinds deer like, seed trees of which stand near plots light enough for them, and no young one; with the plots."""
    groups = region.species.rows("deer_regen_groups")
    classes = region.table("deer_browse_classes")
    liked = {
        kind
        for kind, preference in preference_table(region, own).items()
        if preference in set(classes.loc[classes["sets_code"] == SETS, "preference"])
    }
    wanted = liked & set(groups.index[groups["next_forest"] == "yes"])
    near = plots.dropna(subset=["seeds"])[["seeds", "light"]].explode("seeds")
    near = near[near["seeds"].isin(wanted)]
    least = near["seeds"].map(groups["least_light"]).astype(float).fillna(default("light_enough", region))
    counted = near.loc[near["light"] >= least, "seeds"].value_counts()
    young = set(rows.loc[rows[["from_1_to_3ft", "from_3_to_5ft"]].sum(axis=1) > 0, "species"])
    young |= _within_reach(browse, year, region)
    met = {one for kind in young for one in region.species.members(kind)}
    counted = counted[counted >= default("seed_tree_plots", region)]
    gone = counted[[not met & set(region.species.members(str(kind))) for kind in counted.index]]
    return tuple((str(kind), int(n)) for kind, n in sorted(gone.items(), key=lambda one: (-one[1], one[0])))


def _within_reach(browse: pd.DataFrame | None, year: int, region: Region) -> set[str]:
    """Kinds with stems within reach on the browse plots of the years that still speak."""
    if browse is None or len(browse) == 0:
        return set()
    when = pd.to_datetime(browse["date"]).dt.year
    then = when.isna() | ((when <= year) & (when > year - default("seedling_years", region)))
    return set(browse.loc[then & (browse["stems"].fillna(0) > 0), "species"].astype(str).str.strip().str.lower())


def _standing_yr(rows: pd.DataFrame, as_of: date) -> float:
    """Years for which the oldest fence has been written down."""
    fenced = rows.loc[rows["fenced"], "day"]
    return (pd.Timestamp(as_of) - fenced.min()).days / 365.25 if len(fenced) else 0.0


def _more_plots(found: str, n: int, effect: float, region: Region) -> int:
    """Plots still wanted; 0 where enough were counted and the share lies too near the need for any number to tell."""
    if found != CANT_SAY:
        return 0
    wide, narrow = default("seedling_half_width", region), default_range("seedling_half_width", region)[0]
    wanted = (plots_wanted(width, effect) - n for width in (wide, narrow))
    return next((more for more in wanted if more > 0), 0)


def _nothing_counted(
    code: int | None, history: tuple[ForestYear, ...], state: str | None, region: Region, level: float
) -> NextForest[Estimate, Words]:
    """The answer without a seedling plot."""
    share, rule = _no_share(0, region, level), rule_of(code, region)[0]
    more = _more_plots(CANT_SAY, 0, default("seedling_design_effect", region), region)
    words = reason("no seedlings", more=more)
    fence = Estimate(None, "times", why=reason("no fence pairs"))
    steps = steps_to_take(CANT_SAY, code, {"more": more, "counted": False, "pairs": 0}, state, region)
    need = 100 * float(rule["share_of_plots"])
    return NextForest(
        CANT_SAY, words, (), more, 0, share, need, None, "", 0, fence, 0, (), 0, code, steps, history
    )  # fmt: skip


def _told(
    now: _Seen, shown: Estimate, history: tuple[ForestYear, ...], fence_yr: float, state: str | None, region: Region
) -> NextForest[Estimate, Words]:
    n, found = len(now.plots), now.verdict
    more = _more_plots(found, n, now.effect, region)
    need = 100 * float(now.rule["share_of_plots"])
    light = now.plots["light"].dropna()
    words = reason(
        "next forest", found=found, more=more, share=shown, stocked=now.stocked, plots=n, needed=need,
        fillers=now.filler_kinds, over=now.fillers, guessed=now.code is None,
    )  # fmt: skip
    facts = {"more": more, "counted": True, "pairs": now.pairs, "missing": tuple(kind for kind, _ in now.missing)}
    return NextForest(
        verdict=found,
        words=words,
        why=_why(now, fence_yr, region),
        more_plots=more,
        plots=n,
        stocked_pct=shown,
        needed_pct=need,
        light_pct=100 * float(light.mean()) if len(light) else None,
        light_from=now.light_from,
        lit=now.lit,
        fence=now.fence,
        pairs=now.pairs,
        missing=tuple(kind for kind, _ in now.missing),
        fillers=now.fillers,
        code=now.code,
        steps=steps_to_take(found, now.code, facts, state, region),
        history=history,
    )


def _why(now: _Seen, fence_yr: float, region: Region) -> tuple[Reason, ...]:
    """What the verdict rests on, the weightiest first."""
    n = len(now.plots)
    if not n:
        return ()
    fence = [
        reason(
            "fence pairs", ratio=now.fence, pairs=now.pairs, wanted=int(default("fence_pairs", region)),
            years=int(default("fence_years", region)), young=fence_yr < default("fence_years", region),
        )
    ] if now.pairs else []  # fmt: skip
    known = int(now.plots["light"].notna().sum())
    light = reason(
        "light on plots", lit=now.lit, known=known, plots=n, enough=100 * default("light_enough", region),
        mean=100 * float(now.plots["light"].mean()) if known else 0.0, from_=now.light_from,
    )  # fmt: skip
    gone = [reason("kinds missing", kinds=now.missing)] if now.missing else []
    over = [reason("fillers over it", kinds=now.filler_kinds, over=now.fillers, plots=n)] if now.fillers else []
    bitten = [reason("browse code", code=now.code)] if now.code is not None and now.code >= HIGH else []
    order: dict[str, list[Reason]] = {
        COMING_UP: [*over, light, *gone],
        HELD: [*fence, *bitten, *gone, light, *over],
        TOO_DARK: [light, *fence, *over],
        FILLERS: [*over, light, *fence],
        NOT_SHOWN: [light, *bitten, *fence, *gone, *over],
        CANT_SAY: [*fence, *bitten, light, *gone, *over],
    }
    return tuple(order[now.verdict])
