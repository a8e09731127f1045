"""What moved since the last plan that was kept, and which hand-in, note or day moved it.

A family that opens this year's plan beside last year's wants to know which of their own doings moved each number, and
what did not.

The last plan is worked out again from its own files under this woodlot, then for today, then with the hand-ins of today
in place of its own, part by part in the order of ``kept_plans.PARTS``; ``plan.what_moved`` holds the arithmetic.

first_figures     the numbers that are followed
since_plan        the answer
"""

import tomllib
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from woodlot.answers.types import Moved, MovedBy, SincePlan
from woodlot.columns import header
from woodlot.errors import WoodlotError
from woodlot.estimate import Estimate, Reason, reason
from woodlot.place import Place, read
from woodlot.place.kept_plans import PARTS, HandIns, Kept, laid_out
from woodlot.place.settings import FILE as TOML
from woodlot.place.teaching import as_taught, lessons
from woodlot.plan import what_moved
from woodlot.plan.what_moved import Step
from woodlot.region import reading
from woodlot.say import since_plan as say
from woodlot.say.reasons import said
from woodlot.season import Season, at_work

__all__ = ["first_figures", "since_plan"]


def _value(estimate: Estimate | None) -> float | None:
    return None if estimate is None or estimate.value is None else float(estimate.value)


def _ceiling(season: Season) -> float | None:
    return None if _value(season.ceilings.whole["grows"]) is None else float(season.ceilings.limit)


def _this_winter(season: Season) -> float:
    return float(sum(task.cords for task in season.winter.tasks))


#: Number -> how it is had from a season; those of the wood rest on no sign of deer. Deer ask plots for the light over
#: seedlings.
WOOD: Mapping[str, Callable[[Season], float | None]] = {
    "cords": lambda season: _value(season.standing.totals["cords by all"].get("all")),
    "ceiling_cords_per_yr": _ceiling,
    "this_winter_cords": _this_winter,
    "heat_short_cords": lambda season: _value(season.heat.short),
}
DEER: Mapping[str, Callable[[Season], float | None]] = {
    "deer_per_sqmi": lambda season: _value(season.hunt.fall_per_sqmi),
    "does": lambda season: float(season.hunt.take.does) if season.hunt.take.measured else None,
    "bucks": lambda season: float(season.hunt.take.bucks) if season.hunt.take.measured else None,
    "meat_lb": lambda season: _value(season.hunt.take.meat_lb),
}
#: What the jobs of the ledger teach, exchanged apart from its lines.
WOODPILE = "woodpile"
#: What is exchanged where it cannot be told apart.
TOGETHER = "together"
#: Parts that only the wood, and only the deer rest on.
WOOD_ALONE, DEER_ALONE = ("tally",), ("pellets", "counts", "bag", "winters", "group")
#: Columns by which rows of a table are spoken of, where it is not the first.
NAMES = dict.fromkeys(("pellets", "browse", "seedlings", "counts"), "date") | {"words": "written"}


def first_figures(season: Season, of: Mapping[str, Callable[[Season], float | None]] | None = None) -> dict[str, Any]:
    """The numbers of the first screen by name; None where there is none."""
    return {name: get(season) for name, get in ({**WOOD, **DEER} if of is None else of).items()}


def since_plan(season: Season, now: Kept, before: Kept) -> SincePlan:
    """What moved between a kept plan and the plan of a season, ``now``."""
    before = replace(before, numbers={name: before.numbers.get(name) for name in now.numbers})
    with at_work.get()("Comparing with the last plan"), _quiet():
        steps = _steps(season, now, before)
    shares = what_moved.shares(before.numbers, steps)
    numbers = tuple(_moved(name, before.numbers[name], now.numbers[name], some) for name, some in shares.items())
    shown = say.shown(numbers)
    still = tuple(said(step.why) for step in steps if step.what not in {"version", "day", *shown})
    return SincePlan(before.day.isoformat(), before.version, numbers, still, say.lines(numbers, still))


def _moved(name: str, then: float | None, now: float | None, shares: Sequence[what_moved.Share]) -> Moved:
    title, unit = say.NUMBERS[name]
    by = tuple(MovedBy(one.what, one.amount, said(one.why)) for one in shares)
    return Moved(name, title, unit, then, now, by)


@contextmanager
def _quiet() -> Iterator[None]:
    """What is worked out again is not shown, its cautions and what it reads are not those of this plan."""
    token = at_work.set(nullcontext)
    try:
        with warnings.catch_warnings(), reading():
            warnings.simplefilter("ignore")
            yield
    finally:
        at_work.reset(token)


@dataclass(frozen=True)
class _State:
    """Hand-ins and how they are asked: a plan on the way from the last one to this one. learned: what the woodpile
    taught, where it is not what these hand-ins teach.
    """

    hand_ins: HandIns
    day: date
    level: float
    region: str
    learned: Mapping[str, float] | None = None

    def exchanged(self, what: str, now: Kept) -> "_State":
        """The same with one thing of today in place of its own."""
        if what == "day":
            return replace(self, day=now.day)
        if what == WOODPILE:
            return replace(self, learned=None)
        if what not in PARTS:
            return self
        asked = {"level": now.level, "region": now.region} if what == "settings" else {}
        return replace(self, hand_ins={**self.hand_ins, what: now.hand_ins.get(what, {})}, **asked)  # type: ignore[arg-type]


def _steps(season: Season, now: Kept, before: Kept) -> list[Step]:
    """The way from the last plan to this one; what cannot be read goes together with what comes behind it."""
    state = _State(before.hand_ins, before.day, before.level, before.region)
    moves = ["version", "day", *(part for part in PARTS if _differs(part, now, before))]
    numbers: Mapping[str, float | None] = before.numbers
    out, together, exchanged, last = list[Step](), list[tuple[str, Reason]](), list[str](), None
    for what in moves:
        if what == "ledger" and last is not None and last.region.learned != season.place.region.learned:
            moves.insert(moves.index(what) + 1, WOODPILE)  # the loop comes to it next
            state = replace(state, learned=dict(last.region.learned))
        state = state.exchanged(what, now)
        exchanged.append(what)
        together.append(_why(what, last, season.place, now, before))
        if what == moves[-1]:
            numbers = now.numbers
        else:
            try:
                last, some = _worked_out(season, state, exchanged)
            except WoodlotError:  # files of two days that do not go together, or none that this woodlot reads
                if what == "version":
                    together = [(what, reason("last plan unreadable"))]
                continue
            numbers = {**numbers, **some}
        out.append(Step(*_joined(together), numbers))
        exchanged, together = [], []
    return out


def _joined(steps: Sequence[tuple[str, Reason]]) -> tuple[str, Reason]:
    """One thing that was exchanged, or several whose shares cannot be told apart."""
    return steps[0] if len(steps) == 1 else (TOGETHER, reason("moved together", parts=tuple(why for _, why in steps)))


def _differs(part: str, now: Kept, before: Kept) -> bool:
    asked = part == "settings" and (now.level, now.region) != (before.level, before.region)
    return asked or now.hand_ins.get(part, {}) != before.hand_ins.get(part, {})


def _worked_out(season: Season, state: _State, moves: Sequence[str]) -> tuple[Place, dict[str, float | None]]:
    """The place of a state, and the numbers that may have moved by what was exchanged."""
    alone = {"wood": {*moves} <= {*WOOD_ALONE}, "deer": {*moves} <= {*DEER_ALONE}}
    with laid_out(state.hand_ins) as folder:
        place = replace(read(folder, state.day, state.region), rasters=season.place.rasters)
        if state.learned is not None:
            choices, region = as_taught(place.choices, place.region, state.learned)
            place = replace(place, choices=choices, region=region)
        of = WOOD if alone["wood"] else DEER if alone["deer"] else None
        return place, first_figures(replace(season, place=place, level=state.level), of)


def _why(what: str, last: Place | None, place: Place, now: Kept, before: Kept) -> tuple[str, Reason]:
    """What was exchanged, as rows, notes and keys where the last hand-ins could be read."""
    if what == "version":
        return _version(now, before)
    if what == WOODPILE:
        of = lessons(place.ledger, place.choices, place.as_of, region=place.region)
        return what, reason("woodpile taught", jobs=len(of.teach), times=of.table_times)
    if what == "day":
        return what, reason("days since", days=(now.day - before.day).days)
    if what == "settings":
        return what, _settings(now, before)
    then, here = before.hand_ins.get(what, {}), now.hand_ins.get(what, {})
    files = tuple(name for name in {**then, **here} if then.get(name) != here.get(name))
    if last is None:
        return what, reason("files moved", files=files)
    tables = [(getattr(last, table), getattr(place, table)) for table in PARTS[what]]
    if what == "ledger":
        why = what_moved.notes_since(*tables[0])
    elif what == "plots":
        old, new = zip(*tables, strict=True)
        why = what_moved.plots_since(old, new)
    else:
        names = [NAMES.get(table, header(table)[0]) for table in PARTS[what]]
        rows = (what_moved.rows_differ(*frames, name) for frames, name in zip(tables, names, strict=True))
        differ = tuple((table, one) for table, one in zip(PARTS[what], rows, strict=True) if one)
        why = reason("rows moved", tables=differ)
    return what, why if any(facts for _, facts in why.facts) else reason("files moved", files=files)


def _version(now: Kept, before: Kept) -> tuple[str, Reason]:
    """Woodlot, and rasters, of which only today's are there: what they move cannot be told apart."""
    rasters = tuple(n for n in {**before.rasters, **now.rasters} if before.rasters.get(n) != now.rasters.get(n))
    new = reason("new version", now=now.version, then=before.version)
    parts = [("version", new)] if now.version != before.version else []
    parts += [("rasters", reason("rasters moved", files=rasters))] if rasters else []
    return _joined(parts or [("version", reason("same version", version=now.version))])


def _settings(now: Kept, before: Kept) -> Reason:
    """Keys of place.toml, options of the command, tables of the own region."""
    files = [one.hand_ins.get("settings", {}) for one in (before, now)]
    then, here = (_toml(some) for some in files)
    keys = what_moved.keys_since(then, here)
    if now.region != before.region and then.get("region") == here.get("region"):
        keys += (("--region", before.region, now.region),)
    if now.level != before.level and not any(key.endswith("level") for key, *_ in keys):
        keys += (("--level", before.level, now.level),)
    own = tuple(n for n in {**files[0], **files[1]} if n != TOML and files[0].get(n) != files[1].get(n))
    return reason("settings moved", keys=keys, files=own) if keys or own else reason("files moved", files=(TOML,))


def _toml(files: Mapping[str, bytes]) -> dict[str, Any]:
    try:
        return tomllib.loads(files[TOML].decode("utf-8-sig"))
    except (KeyError, ValueError):
        return {}
