"""What a family's own woodpile teaches of the volume table and of its cords: stacked beside foretold, job by job.

job_of, foretold, rest   the job of a line of the ledger; cords foretold of a job's trees; trees of the tally that no
                         line calls felled
Job, jobs_of             a job with what was foretold and stacked of it, and why it teaches nothing
Taught, learn            what all jobs teach

A stove owner who has felled, split and stacked thirty trees knows what they made, and wants next winter's foretold
cords to come out so: the table right for his trees, the cord right for his stacking. What he must not get is a table
that shrinks because some of a pile was burnt before the tape came. A pile cannot tell a wrong table from a tight stack,
so both share what it says by their errors: it sharpens cords that will be stacked, and little those that stand.

A job is trees tallied before they fell, all their wood stacked and the stack taped. The ledger holds what was foretold
in words, so that the tally's rows may go: ``foretold 4.2 cords of 10 trees, 3 heights measured, mostly sugar maple``;
before it had a column for the job its words began with ``job: barn;``.
"""

import re
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from math import exp, log, sqrt
from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.news import Known, cv_of, log_var
from woodlot.news import learn as after
from woodlot.region import Region
from woodlot.trade import DRYING_KINDS, FELLED_KINDS, GONE_KINDS, STACKED_KINDS
from woodlot.tree.frame import TABLE
from woodlot.tree.quality import parts as words_of
from woodlot.tree.volume import volumes
from woodlot.units import stack_ft
from woodlot.wood import heights
from woodlot.wood.tally import STACKED_LEFT, TABLE_LEFT, products

__all__ = ["CORD", "ENDS", "Foretold", "Job", "Taught", "foretold", "job_of", "jobs_of", "learn", "rest", "trees_of"]

#: The factor on the solid wood of a cord.
CORD = "cord"
#: What ends the name of a job in the words of a line.
ENDS = ",;.:"
_JOB = re.compile(rf"\bjob:\s*([^\s{ENDS}][^{ENDS}]*)", re.I)
_FORETOLD = re.compile(
    r"\bforetold\s(\d{1,5}(?:\.\d+)?)\scords?\sof\s(\d{1,6})\strees?"
    r"(?:,\s(\d{1,6})\sheights?\smeasured)?(?:,\smostly\s([a-z\s]+))?"
)
#: Words that say that a stack is not all the sound wood of its trees, or that its size is anybody's guess.
_PART = re.compile(
    r"\b(?:burn(?:t|ed)|sold|gave|given|missing|part(?:ly)?|half|rest\sof|left\s(?:in|at|behind|lying|out|over|there))\b"
)
_LOOSE = re.compile(r"\b(?:face cords?|ricks?|loose|thrown|heaped|heap)\b")
_ROTTEN = re.compile(r"\b(?:mostly )?(?:rotten|punky)\b")
#: A stack with a side under this is a row one stick deep [ft].
ONE_STICK_FT = 2.0
#: A kind of wood is named where it is over this share of what was foretold.
MOSTLY = 0.5


class Foretold(NamedTuple):
    """Sound cords that the table alone foretells of trees: how many trees, of how many the height was measured, the
    kind that most of them are ("" for none), and whether they are mostly rotten.
    """

    cords: float
    trees: int
    heights: int = 0
    wood: str = ""
    rotten: bool = False


@dataclass(frozen=True)
class Job:
    """A job of the woodpile: lines of the ledger, cords foretold and stacked, why it teaches nothing (None: it does).

    log, var: ln(stacked/foretold) and its variance.
    """

    name: str
    lines: tuple[int, ...]
    foretold: Foretold | None
    stacked_cords: float
    why: Reason | None = None

    @property
    def log(self) -> float:
        """Stacked over foretold, on logarithms."""
        return log(self.stacked_cords / self.foretold.cords) if self.foretold else 0.0


@dataclass(frozen=True)
class Taught:
    """What the woodpile teaches: factors on the volumes of the table, on the solid wood of a cord and on cords stacked;
    errors of table and of cords stacked, before and after.

    jobs: all of them, also those that teach nothing; why: why nothing is learned of them together (None: it is).
    """

    jobs: tuple[Job, ...]
    table_times: float = 1.0
    cord_times: float = 1.0
    stacked_times: float = 1.0
    table_cv: tuple[float, float] = (0.0, 0.0)
    stacked_cv: tuple[float, float] = (0.0, 0.0)
    why: Reason | None = None

    @property
    def teach(self) -> tuple[Job, ...]:
        """Jobs that teach."""
        return () if self.why else tuple(job for job in self.jobs if job.why is None)

    @property
    def learned(self) -> dict[str, float]:
        """Factors for a region: of volumes and cords, and what is left of the variance of table and stacked cords."""
        if not self.teach:
            return {}
        table, stacked = (log_var(now) / log_var(then) for then, now in (self.table_cv, self.stacked_cv))
        return {TABLE: self.table_times, CORD: self.cord_times, TABLE_LEFT: table, STACKED_LEFT: stacked}


def job_of(lines: pd.DataFrame) -> pd.Series:
    """The job of each line, in small letters: its column, else what its words name; missing where neither does."""
    named = lines["text"].fillna("").astype(str).str.extract(_JOB)[0].astype("string")
    return (lines["job"].astype("string").fillna(named) if "job" in lines else named).str.strip().str.lower()


def trees_of(tally: pd.DataFrame, job: str) -> np.ndarray:
    """Which trees of a tally a job names: by their mark, by their number, several with + between."""
    names = {name.strip().lower() for name in job.split("+")}
    marks = tally["mark"].fillna("").astype(str)
    by_mark = {mark: bool(names & {mark.lower(), *(word.lower() for word in words_of(mark))}) for mark in set(marks)}
    numbers = tally["tree"].fillna("").astype(str).str.lower()
    return (marks.map(by_mark) & (marks != "")).to_numpy(dtype=bool) | numbers.isin(names).to_numpy()


def rest(tally: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    """The tally without trees of jobs that lines call felled: nobody is to fell them again."""
    if not len(tally) or not len(lines):
        return tally
    felled = lines[lines["kind"].isin({*FELLED_KINDS, *DRYING_KINDS})]
    gone = np.zeros(len(tally), dtype=bool)
    for job in job_of(felled).dropna().unique():
        gone |= trees_of(tally, job)
    return tally[~gone] if gone.any() else tally


def foretold(trees: pd.DataFrame, division: str, solid_cuft_per_cord: float, *, region: Region) -> Foretold | None:
    """What the table, as nobody taught it, foretells of trees of a tally; None where there are none.

    solid_cuft_per_cord: as chosen, not as taught.
    """
    if not len(trees):
        return None
    told = products(volumes(trees.reset_index(drop=True), division, region=region.taught({})), solid_cuft_per_cord)
    cords = float(told["cords"].sum())
    by = told["cords"].groupby(told["species"]).sum()
    wood = str(by.idxmax()) if cords > 0 and by.max() > MOSTLY * cords else ""
    rotten = cords < (1.0 - region.figure("defaults_sampling", "most_pile_rot")) * float(told["gross_cords"].sum())
    return Foretold(cords, len(told), int((told["height_from"] == "measured").sum()), wood, rotten)


def jobs_of(lines: pd.DataFrame, *, region: Region) -> tuple[Job, ...]:
    """Jobs whose wood was stacked, in the order in which it was; ``lines``: standing lines of the ledger."""
    if not len(lines):
        return ()
    rows = lines.assign(job=job_of(lines)).dropna(subset="job").sort_values(["date", "line"], kind="stable")
    out = [_job(str(name), some, region) for name, some in rows.groupby("job", sort=False)]
    return tuple(sorted(filter(None, out), key=lambda job: job.lines[-1]))


def _job(name: str, rows: pd.DataFrame, region: Region) -> Job | None:
    stacks = rows[rows["kind"].isin(STACKED_KINDS) & (rows["unit"] == "cord") & (rows["amount"] > 0)]
    if not len(stacks):
        return None
    taped = stacks[stacks["kind"] == STACKED_KINDS[-1]]
    if len(taped):  # a measured stack is what stands there: it takes the place of what was told before
        stacks = taped[taped["date"] == taped["date"].max()]
    words = rows["text"].fillna("").astype(str).str.lower()
    told = [found for one in words if (found := _FORETOLD.search(one))]
    said = None
    if told:
        cords, trees, heights, wood = told[-1].groups()
        said = Foretold(float(cords), int(trees), int(heights or 0), (wood or "").strip())
    job = Job(name, tuple(stacks["line"].astype(int).tolist()), said, float(stacks["amount"].sum()))
    return replace(job, why=_nothing(rows, stacks, words, job))


def _nothing(rows: pd.DataFrame, stacks: pd.DataFrame, words: pd.Series, job: Job) -> Reason | None:
    """Why a job teaches nothing, whatever it says."""
    own = words.str.replace(_FORETOLD, "", regex=True).str.replace(_JOB, "", regex=True)
    sides = [stack_ft(one) for one in own.loc[stacks.index]]
    taped = [side is not None or kind == STACKED_KINDS[-1] for side, kind in zip(sides, stacks["kind"], strict=True)]
    other = [kind for kind in (*FELLED_KINDS, "chips") if kind not in DRYING_KINDS]
    if job.foretold is None or not (job.foretold.cords > 0 and job.foretold.trees > 0):
        return reason("job", of="untold")
    if own.str.contains(_PART).any() or rows["kind"].isin([*GONE_KINDS, *other]).any():
        return reason("job", of="part")
    if own.str.contains(_LOOSE).any() or any(side is not None and min(side) < ONE_STICK_FT for side in sides):
        return reason("job", of="loose")
    if own.str.contains(_ROTTEN).any():
        return reason("job", of="rotten")
    return None if all(taped) else reason("job", of="no tape")


def learn(lines: pd.DataFrame, as_of: date, *, region: Region, table_cv: float | None = None) -> Taught:
    """What the jobs of the ledger's standing lines until a day teach.

    table_cv: error of the table before (None: by how many heights of the jobs' trees were measured).

    Notes: r = ln(stacked/foretold), S = s_t^2 + s_c^2 of table and cord, v = ln(1 + .20^2/trees) + .05^2 + .06^2 of
    its trees, the tape and the laying; jobs are taken one after another by ``news.learn``, those too far off left out
    and told. What is learned is shared by s_t^2/S and s_c^2/S. Source: defaults_sampling.csv.
    """
    day = pd.to_datetime(lines["date"]) if len(lines) else None
    jobs = jobs_of(lines if day is None else lines[day <= pd.Timestamp(as_of)], region=region)
    if not jobs:
        return Taught(())
    figure = partial(region.figure, "defaults_sampling")
    sure = [job.foretold for job in jobs if job.why is None and job.foretold is not None]
    table = log_var(
        float(heights.table_cv(sum(one.heights for one in sure), region=region)) if table_cv is None else table_cv
    )
    first = known = Known(table + log_var(region.figure("defaults_tally", "stacking_cv")))
    pile_var = figure("pile_measured_cv") ** 2 + figure("pile_laid_cv") ** 2
    out = []
    for job in jobs:
        if job.why is None and job.foretold is not None:
            var = log_var(figure("one_tree_cv") / sqrt(job.foretold.trees)) + pile_var
            if known.believes(job.log, var):
                known = after(known, job.log, var)
            else:
                job = replace(job, why=reason("job", of="far off", expected=known.times, got=exp(job.log)))
        out.append(job)
    return _taught(tuple(out), table, first, known, region)


def _taught(jobs: tuple[Job, ...], table: float, first: Known, known: Known, region: Region) -> Taught:
    """What was learned, shared between table and cord; table: variance of the table before."""
    share, left = table / first.var, known.var / first.var
    table_after = table - table * share * (1.0 - left)
    trees = sum(job.foretold.trees for job in jobs if job.why is None and job.foretold is not None)
    least, most = (region.figure("defaults_sampling", name) for name in ("least_pile_trees", "most_pile_log"))
    why = None
    if trees and trees < least:
        why = reason("woodpile", of="few trees", trees=trees, least=int(least))
    elif abs(known.log) > most:
        why = reason("woodpile", of="mistake", times=known.times)
    return Taught(
        jobs,
        table_times=exp(known.log * share),
        cord_times=exp(-known.log * (1.0 - share)),
        stacked_times=known.times,
        table_cv=(cv_of(table), cv_of(table_after)),
        stacked_cv=(first.cv, known.cv),
        why=why,
    )
