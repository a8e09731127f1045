"""What the woodpile teaches, in words: how far the table went after how many jobs, each of them, why one says nothing.

told           all of it, the first sentence first
untaught       jobs that teach nothing, and why: what is to be looked at
foretold       what is foretold of a job's trees, as its line of the ledger holds it
WORDS          key of a Reason -> its words
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from woodlot.say.words import amount, capital, first_of, listed, plural

if TYPE_CHECKING:
    from woodlot.estimate import Reason
    from woodlot.wood.taught import Foretold, Job, Taught

__all__ = ["WORDS", "foretold", "told", "untaught"]

#: Jobs named in one sentence.
MOST = 6
#: A kind of wood is named where this share of what was foretold is mostly of it.
MOSTLY = 0.5
#: Why a job teaches nothing.
_NOTHING = {
    "untold": "no cords of its trees were foretold: tally them with its name as mark before they fell, and note the "
    "stack with --job",
    "part": "not all of its wood is in the stack",
    "loose": "a face cord, a row one stick deep or a loose heap is no measure of a cord",
    "rotten": "its trees were mostly rotten",
    "no tape": "its stack was not taped; note a measured stack with its size in feet",
}


def _job(of: str, expected: float | None = None, got: float = 1.0) -> str:
    if expected is None:
        return _NOTHING[of]
    return (
        f"it is {100 * got:.0f}% of what was foretold where {100 * expected:.0f}% was expected, further off than both "
        "errors allow; look at stack and tally before you believe either"
    )


def _woodpile(of: str, trees: int = 0, least: int = 0, times: float = 1.0) -> str:
    if of == "few trees":
        return f"{plural(trees, 'tree')} in all teach nothing yet; {least} would"
    return (
        f"stacks at {100 * times:.0f}% of what is foretold look like a slip of tally, tape or mark; nothing is learned"
    )


def _taught(jobs: int, times: float) -> str:
    if not jobs:
        return "your woodpile, which teaches the table no more"
    return f"your woodpile, of which {plural(jobs, 'job')} {_table(times)}"


def _table(times: float) -> str:
    by = round(100 * (times - 1.0))
    return f"{'lowered' if by < 0 else 'raised'} the table {abs(by)}%" if by else "left the table as it is"


WORDS: Mapping[str, Callable[..., str]] = {"job": _job, "woodpile": _woodpile, "woodpile taught": _taught}


def _words(why: "Reason") -> str:
    return WORDS[why.key](**dict(why.facts))


def foretold(of: "Foretold") -> str:
    """What is foretold of a job's trees, as ``wood.taught`` reads it back."""
    heights = f", {plural(of.heights, 'height')} measured" if of.heights else ""
    wood = f", mostly {of.wood}" if of.wood else ""
    rotten = "; mostly rotten" if of.rotten else ""
    return f"foretold {of.cords:.3f} cords of {plural(of.trees, 'tree')}{heights}{wood}{rotten}"


def told(of: "Taught", solid_cuft: float) -> tuple[str, ...]:
    """What the woodpile teaches; solid_cuft: of a cord as it is counted now. Nothing where no job is stacked."""
    if not of.teach:
        return (*([f"Your woodpile: {_words(of.why)}."] if of.why else []), *untaught(of))
    jobs = of.teach
    stacked, said = (sum(each) for each in zip(*((one.stacked_cords, _cords(one)) for one in jobs), strict=True))
    by = round(100 * (of.table_times - 1.0))
    table = f"Table {'lowered' if by < 0 else 'raised'} {abs(by)}%" if by else "Table left as it is"
    off = round(100 * (stacked / said - 1.0))
    runs = f"{abs(off)} percent {'fuller' if off > 0 else 'leaner'} than" if off else "as"
    each = first_of([_one(one) for one in jobs], MOST)
    learned = (
        f"{table} after {plural(len(jobs), 'job')} of your woodpile: your {_wood(jobs)} runs {runs} the table, "
        f"from {amount(stacked, 'cords')}."
    )
    shared = (
        f"A pile cannot tell a wrong table from a tight stack, so both take a share: a cord is counted as "
        f"{solid_cuft:.1f} solid cubic feet. Cords that will be stacked are known to {100 * of.stacked_cv[1]:.0f}% "
        f"(before {100 * of.stacked_cv[0]:.0f}%), the table to {100 * of.table_cv[1]:.0f}% "
        f"(before {100 * of.table_cv[0]:.0f}%)."
    )
    return (learned, shared, f"{capital(each)}.", *untaught(of))


def _cords(job: "Job") -> float:
    return job.foretold.cords if job.foretold else 0.0


def _one(job: "Job") -> str:
    lines = f"line{'s' * (len(job.lines) > 1)} {listed([str(one) for one in job.lines])}"
    if job.foretold is None:
        return f"job {job.name} ({lines}): {amount(job.stacked_cords, 'cords')} stacked"
    return (
        f"job {job.name} ({lines}): {job.foretold.cords:.2f} cords foretold of {plural(job.foretold.trees, 'tree')}, "
        f"{job.stacked_cords:.2f} stacked"
    )


def _wood(jobs: Sequence["Job"]) -> str:
    """The kind that over half of the foretold cords are mostly of, else wood."""
    by: dict[str, float] = defaultdict(float)
    for one in jobs:
        by[one.foretold.wood if one.foretold else ""] += _cords(one)
    kind = max(by, key=by.__getitem__)
    return kind if kind and by[kind] > MOSTLY * sum(by.values()) else "wood"


def untaught(of: "Taught") -> tuple[str, ...]:
    """Jobs that teach nothing, and why."""
    return tuple(f"{capital(_one(one))}; it teaches nothing: {_words(one.why)}." for one in of.jobs if one.why)
