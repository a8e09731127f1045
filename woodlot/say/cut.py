"""What is said of the cut: of each stand, of all of them, of the job of this winter, and of the woods it rests on.

stand_words, job_words      what is cut in a stand, this winter and over the years
headline, limit_words       what may be cut a year
kinds_words, keep_words     trees of one size to take by their kinds; basal area to keep
since_plots_words           what became of a stand since its plots
memory_words                figures behind the growth that are from memory
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from woodlot.plan.job import Job
from woodlot.say import words
from woodlot.say.reasons import said
from woodlot.trade import EVEN_AGED, GROWTHS

__all__ = [
    "STOPPED",
    "headline",
    "job_words",
    "keep_words",
    "kinds_words",
    "limit_words",
    "memory_words",
    "since_plots_words",
    "stand_words",
]

BY_ANY_COVER = "Its cover is not known, so the rule for any other cover is used: write its cover first."
STOPPED = "The search for this plan ended at its node limit; a slightly better one may exist."


def _joined(*parts: str) -> str:
    return " ".join(filter(None, parts))


def stand_words(row: Mapping[Any, Any], first: str = "") -> str:
    """What is cut in a stand this winter and over the years, and what is left out of it (a row of ``growing``).

    first: what falls of the tally there (``winter_list.fell_first``), which goes before.
    """
    ceiling, rule = said(row["why"]), BY_ANY_COVER if row["any_cover"] else ""
    left_out = said(row["left_out"]) if row["may"] else ""
    if row["this_winter"]:
        more = row["this_winter_cords"] > row["ceiling_cords_per_yr"]
        later = "While other stands are left alone, more may come from here." if more else ""
        years = f"Over the years {ceiling[:1].lower()}{ceiling[1:]}"
        return _joined(first, _this_winter(row, "Then" if first else "This winter"), rule, years, later, left_out)
    nothing = "Nothing more this winter" if first else "Nothing this winter"
    if row["next_year"] is not None:
        rest = f"{nothing}. Next: winter {words.winter_of(row['next_year'])}."
    elif row["why"].key == "at most":
        rest = f"{nothing}, nor in the years of this plan. Other stands come first."
    else:
        rest = ceiling.replace("Nothing this year", nothing).replace("this year", "this winter")
    return _joined(first, rest, left_out, rule)


def _this_winter(row: Mapping[Any, Any], lead: str) -> str:
    ac = words.amount(row["this_winter_ac"], "acres")
    how = (
        f"Thin {ac} of it, and leave {row['leave_sqft_per_ac']:.0f} sq ft an acre."
        if row["way"] == "thin"
        else f"Cut {ac} of it in one patch: it comes back in full light only."
    )
    return f"{lead}: up to {words.amount(row['this_winter_cords'], 'cords')}. {how}"


def job_words(job: Job) -> str:
    """The work of this winter in one stand: how much, how many trees, when, how far, and what is left out."""
    cords, ac = words.amount(job.cords, "cords"), words.amount(job.acres, "acres")
    logs = f", {words.amount(job.bdft, 'board feet')} of it in logs" if job.bdft >= 50 else ""
    trees = f"about {job.trees['cut'].sum():.0f} trees, {words.amount(job.days, 'days')} of work"
    road = ""
    if job.ft_from_road is not None:
        feet = words.plural(round(job.ft_from_road), "foot", "feet")
        road = f"{feet} from the road." if job.ft_from_road >= 1 else "Along the road."
    return _joined(
        f"Stand {job.stand_id}: {cords} from {ac}{logs}; {trees}. {job.months}.",
        f"{words.amount(job.miles_from_home, 'miles')} from home." if job.miles_from_home else "",
        road,
        said(job.left_out),
        BY_ANY_COVER if job.any_cover else "",
    )


def headline(limit_cords: float, stopped: bool) -> str:
    """What may be cut a year in the stands that are shown."""
    most = (
        f"At most {words.amount(limit_cords, 'full cords')} a year, the lower end of what these ceilings allow."
        if limit_cords > 0
        else "Nothing this year. No stand here is over the stocking it should keep and measured well enough."
    )
    return _joined(most, STOPPED if stopped else "")


def limit_words(limit_cords: float, stopped: bool, findings: Iterable[str]) -> str:
    """What may be cut a year in all stands together, and what the plan makes of it."""
    most = (
        "The low end of the smallest of three ceilings: what grows, a share of the acres each year, and what leads to "
        "the stock to keep."
        if limit_cords > 0
        else "Nothing may be cut this year."
    )
    return _joined(most, STOPPED if stopped else "", *findings)


def keep_words(leave_sqft_per_ac: float | None, seen: str) -> str:
    """Basal area to keep with the mark of a figure from memory."""
    return "" if leave_sqft_per_ac is None else f"{leave_sqft_per_ac:.0f}{' †' if seen == 'memory' else ''}"


def kinds_words(trees: Iterable[tuple[str, str]]) -> str:
    """Kinds of trees of which some are taken, and how many of each: ``red maple (1 of 8), quaking aspen (all)``."""
    return ", ".join(f"{kind} ({take.removeprefix('take ')})" for kind, take in trees if take != "leave all")


def since_plots_words(row: Mapping[Any, Any]) -> str:
    """What became of a stand since its plots (a row of ``Woods.stands``)."""
    if row["way"] == "none":
        return "No plots yet."
    if row["bare"]:
        return "No living tree of 5 inches stood on its plots: not enough measured to say what grows."
    if row["young"]:
        return "Its trees are too small to measure: what stands there is told from its age."
    years = f"{row['seasons']} season{'' if row['seasons'] == 1 else 's'}"
    grown = f"Grown {years} since its plots." if row["seasons"] else "Measured this season."
    grown = "Its plots were measured after this day." if row["later"] else grown
    less = f"{row['cut_cords']:.2g} cords cut since were taken out." if row["cut_cords"] > 0 else ""
    twice, cores = int(row["twice"]), int(row["cores"]) - int(row["twice"])
    parts = [f"{cores} core{'' if cores == 1 else 's'}"] if cores else []
    parts += [f"{twice} tree{'' if twice == 1 else 's'} measured twice"] if twice else []
    stand = "stand" if cores + twice != 1 else "stands"
    backed = f"{' and '.join(parts)} {stand} behind its growth." if parts else "No cores: growth is a published rate."
    return _joined(grown, less, backed)


def memory_words(species: Sequence[str], ways: Iterable[str]) -> list[str]:
    """Figures behind the growth that are from memory: kinds of trees, and ways of growing."""
    past = f"From memory (m): growth of {', '.join(species)}; cores of your own take its place."
    curves = [GROWTHS[way].one for way in EVEN_AGED if way in ways]
    on_curves = [f"From memory (m): {curve}, and the site curve it stands on." for curve in curves]
    return ([past] if species else []) + on_curves
