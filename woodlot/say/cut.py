"""What is said of the cut: of each stand, of all of them, of the job of this winter, and of the woods it rests on.

stand_words, job_words, ticks_words  what is cut in a stand, this winter and over the years
headline, limit_words       what may be cut a year
kinds_words, keep_words     trees of one size to take by their kinds; basal area to keep
since_plots_words           what became of a stand since its plots
memory_words                figures behind the growth that are from memory
work_words, pace_words      a job of several winters, told once; what its days are reckoned by
"""

from collections.abc import Iterable, Mapping, Sequence
from math import ceil
from typing import Any

from woodlot.plan.done import Ticked
from woodlot.plan.job import Job
from woodlot.plan.labor import Pace
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
    "pace_words",
    "since_plots_words",
    "stand_words",
    "ticks_words",
    "work_words",
]

BY_ANY_COVER = "Its cover is not known, so the rule for any other cover is used: write its cover first."
SALVAGE = "Trees die or break up here: take those first, never a dying ash or a dead tree by hand."
STOPPED = "The search for this plan ended at its node limit; a slightly better one may exist."


def _joined(*parts: str) -> str:
    return " ".join(filter(None, parts))


def stand_words(row: Mapping[Any, Any], done_cords: float = 0.0, tally: str = "") -> str:
    """What is cut in a stand this winter and over the years, and what is left out of it (a row of ``growing``).

    done_cords: cut there since the winter began; tally: what falls of the tally there (``winter_list.fell_first``),
    which goes before.
    """
    salvage = SALVAGE if row["salvage"] and (row["this_winter"] or row["next_year"] is not None) else ""
    ceiling, rule = said(row["why"]), BY_ANY_COVER if row["any_cover"] else ""
    left_out = said(row["left_out"]) if row["may"] else ""
    if row["this_winter"]:
        more = row["this_winter_cords"] > row["ceiling_cords_per_yr"]
        later = "While other stands are left alone, more may come from here." if more else ""
        years = f"Over the years {ceiling[:1].lower()}{ceiling[1:]}"
        lead = "Then" if tally else "This winter"
        return _joined(tally, _this_winter(row, lead, done_cords), salvage, rule, years, later, left_out)
    done = f"Done this winter: {words.amount(done_cords, 'cords')} cut." if done_cords > 0 else ""
    begun = _joined(done, tally)
    if row["next_year"] is not None:
        nothing = "" if done else "Nothing more this winter." if tally else "Nothing this winter."
        first = _joined(begun, nothing, f"Next: winter {words.winter_of(row['next_year'])}.")
    elif row["why_not"] is not None:
        nothing = "Nothing more this winter" if begun else "Nothing this winter"
        first = _joined(begun, said(row["why_not"]).replace("Nothing this winter", nothing))
    else:
        nothing = "Nothing more" if done else "Nothing more this winter" if tally else "Nothing this winter"
        first = _joined(begun, ceiling.replace("Nothing this year", nothing))
    return _joined(first, salvage, left_out, rule)


def _this_winter(row: Mapping[Any, Any], lead: str, done_cords: float) -> str:
    ac = words.of_an_acre(row["this_winter_ac"])
    how = (
        f"Thin {ac} of it, and leave {row['leave_sqft_per_ac']:.0f} sq ft an acre."
        if row["way"] == "thin"
        else f"Cut {ac} of it in {_patches(row)}: it comes back in full light only."
    )
    to_go = words.amount(row["this_winter_cords"], "cords")
    if done_cords > 0:
        return f"{lead}: up to {to_go} to go; {words.amount(done_cords, 'cords')} cut. {how}"
    return f"{lead}: up to {to_go}. {how}"


def _patches(row: Mapping[Any, Any]) -> str:
    """How many openings an entry makes, and that a small one is widened."""
    least, most = row["patch_least_ac"], row["patch_most_ac"]
    if not most > 0:
        return "one patch"
    if row["this_winter_ac"] <= most:
        small = row["this_winter_ac"] < least
        return "one patch" + (f" that is widened each winter to {words.of_an_acre(most)}" if small else "")
    return f"{ceil(row['this_winter_ac'] / most - 1e-6)} patches of {words.of_an_acre(most)} at most"


def work_words(row: Mapping[Any, Any]) -> str:
    """A job told once (a row of ``Schedule.works``): ``stand 8, 3/4 acre a winter, 8 winters (2026–27 to 2033–34), 7.0
    cords for the stove each``.
    """
    first, last = words.winter_of(row["first_winter"]), words.winter_of(row["last_winter"])
    if row["winters"] == 1:
        when, each = f"winter {first}", ""
    else:
        when, each = f"{row['winters']} winters ({first} to {last})", " a winter"
    ac, days = words.of_an_acre(row["acres_a_winter"]), words.amount(row["days_a_winter"], "days")
    stove = words.amount(row["stove_cords_a_winter"], "cords")
    return f"stand {row['stand_id']}, {ac}{each}, {when}, {stove} for the stove{each and ' each'}, {days}{each}"


def pace_words(pace: Pace, day_hours: float) -> str:
    """What days of work are reckoned by."""
    whose, beside = "your own pace by the ledger" if pace.own else "a published pace", ""
    if pace.noted is not None and pace.published is not None:
        both = (
            f"{words.two_figures(pace.noted)} hours noted in {words.plural(pace.winters, 'winter')}, "
            f"{words.two_figures(pace.published)} published"
        )
        beside = f" ({both})" if pace.own else f" ({both}: further off than both allow)"
    return (
        f"Days are of one person, {day_hours:g} hours each, at {whose}{beside}: "
        f"{words.two_figures(pace.hours_per_cord)} hours for a cord from stump to stack, more with the way to the road."
    )


def job_words(job: Job, ticks: Ticked | None = None) -> str:
    """The work of this winter in one stand: how much, how many trees, when, how far, and what is left out.

    ticks: what was cut of it since the winter began.
    """
    stove, ac = words.amount(job.stove_cords, "cords"), words.of_an_acre(job.acres)
    logs = f" and {words.amount(job.bdft, 'board feet')} in logs" if job.bdft >= 50 else ""
    trees = f"about {job.trees['cut'].sum():.0f} trees, {words.amount(job.days, 'days')} of work"
    road = ""
    if job.ft_from_road is not None:
        feet = words.plural(round(job.ft_from_road), "foot", "feet")
        road = f"{feet} from the road." if job.ft_from_road >= 1 else "Along the road."
    return _joined(
        f"Stand {job.stand_id}: {stove} for the stove{logs} from {ac}; {trees}. {job.months}.",
        ticks_words(ticks) if ticks else "",
        _more_winters(job),
        f"{words.amount(job.miles_from_home, 'miles')} from home." if job.miles_from_home else "",
        road,
        said(job.left_out),
        BY_ANY_COVER if job.any_cover else "",
    )


def ticks_words(ticks: Ticked) -> str:
    """What is done of a job and what is to go; nothing where nothing was cut."""
    if not ticks.cut_cords:
        return ""
    cut, planned = (words.rounded(cords, "cords") for cords in (ticks.cut_cords, ticks.planned_cords))
    days = f"{words.rounded(ticks.days_to_go, 'days')} of {words.amount(ticks.planned_days, 'days')} left"
    to_go = words.rounded(ticks.to_go_cords, "cords")
    return f"{planned} cords of wood planned, {cut} cut, {to_go} to go; {days}."


def _more_winters(job: Job) -> str:
    """That the work goes on: one job from the road inward, no acre twice."""
    if job.winters < 2:
        return ""
    return (
        f"One job of {job.winters} winters, {words.of_an_acre(job.job_acres)} in all: work from the road inward, and "
        "go over no acre twice."
    )


def headline(limit_cords: float, stopped: bool, dying_cords: float = 0.0) -> str:
    """What may be cut a year in the stands that are shown; dying_cords: what dies or breaks up there."""
    if limit_cords > 0:
        most = f"At most {words.amount(limit_cords, 'full cords')} a year, until the next cruise."
    elif dying_cords > 0:
        about = words.amount(dying_cords, "full cords")
        most = f"No cut that lasts. About {about} die or break up: take them soon or leave them."
    else:
        most = "Nothing this year. No stand here has wood to spare that is measured well enough."
    return _joined(most, STOPPED if stopped else "")


def limit_words(why: str, limit_cords: float, stopped: bool) -> str:
    """Why so much may be cut a year in all stands together; why: ``cut_rule.why``."""
    return _joined("" if limit_cords > 0 else "Nothing may be cut this year.", why, STOPPED if stopped else "")


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
    site = {"soil": f"Its ground, {row['soil']}, is in the rate.", "site index": "Its site index is in the rate."}
    held = (
        f"The default of {row['default_pct']:.1f}% a year is held down to {row['growth_pct']:.1f}%, as published woods "
    )
    held += f"of its cover and size grow {row['band_low_pct']:g} to {row['band_high_pct']:g}%."
    shown = row["held"] and f"{row['default_pct']:.1f}" != f"{row['growth_pct']:.1f}"
    in_rate = site.get(row["site_by"], "") if row["way"] == "stand table" else ""
    return _joined(grown, less, backed, in_rate, held if shown else "")


def memory_words(species: Sequence[str], ways: Iterable[str], curves: Iterable[tuple[str, str, str]]) -> list[str]:
    """Figures behind the growth that are from memory (kinds of trees, ways of growing), and the site curves used.

    curves: whose, its name and its mark, as ``stand.site.curve_used`` gives them.
    """
    past = f"From memory (m): growth of {', '.join(species)}; cores of your own take its place."
    grown = [f"From memory (m): {GROWTHS[way].one}." for way in EVEN_AGED if way in ways]
    heights = [
        f"Heights by age: site curve of {whose} ({name}), {'from memory (m)' if seen == 'memory' else seen}."
        for whose, name, seen in curves
    ]
    return ([past] if species else []) + grown + heights
