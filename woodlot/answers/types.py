"""The answers of one place on one day, as plain frozen values; a unit stands at the end of a field's name.

Answers     all of it; ``schema`` is raised with every change of a field of it or of what it holds; 2 added first_plots,
            3 wants

Parcels, stands and the whole are in ``stand_types``, the house in ``house_types``, charts and jobs in ``chart_types``,
the deer in ``deer.answer``.
"""

from dataclasses import dataclass, field
from typing import Literal

from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.chart_types import Charts, Job
from woodlot.answers.house_types import House
from woodlot.answers.note_types import Note, OlderNotes
from woodlot.answers.plot_types import FirstPlots
from woodlot.answers.stand_types import Parcel, Species, Stand, Whole
from woodlot.answers.want_types import Wanted
from woodlot.answers.winter_types import ThisWinter
from woodlot.answers.wish_types import Sugarbush, WishedWood
from woodlot.deer.answer import DeerAnswer

__all__ = [
    "SCHEMA",
    "Answers",
    "Base",
    "Caution",
    "Changed",
    "DeerPlot",
    "Moved",
    "MovedBy",
    "NextPlots",
    "Note",
    "Row",
    "SincePlan",
    "Source",
]

SCHEMA: Literal[3] = 3


@dataclass(frozen=True)
class Base:
    """What the numbers rest on: the cord, the log rule, the division of the volume equations, breaks of the map; what
    the woodpile taught cord and table; what moved the counts of the plots (edges, prism, eye, heights from above).
    """

    solid_cuft_per_cord: float
    log_rule: str
    division: str
    cord_breaks: tuple[float, ...]
    woodpile: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)
    moved: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class Row:
    """A row of the first screen; ``why`` may have line breaks, where it lists things to do."""

    topic: str
    title: str
    number: str
    range: str
    why: str


@dataclass(frozen=True)
class DeerPlot:
    """A pellet plot of the last survey, with stems counted and browsed there."""

    plot_id: str
    line: str | None
    lon: float | None
    lat: float | None
    groups: float | None
    stems: float | None
    browsed: float | None
    browsed_pct: float | None


@dataclass(frozen=True)
class NextPlots:
    """Where plots would tell most."""

    plots: int
    stand_id: str


@dataclass(frozen=True)
class MovedBy:
    """What moved a number, and by how much; ``what``: version, day, or a part of the hand-ins."""

    what: str
    amount: float
    words: str


@dataclass(frozen=True)
class Moved:
    """A number of the first screen in the last plan and now, and all that moved it: the amounts of ``by`` add up."""

    number: str
    title: str
    unit: str
    then: float | None
    now: float | None
    by: tuple[MovedBy, ...]


@dataclass(frozen=True)
class SincePlan:
    """What moved since the plan kept of a day; still: hand-ins that changed and moved no number as it is shown."""

    day: str
    version: str
    numbers: tuple[Moved, ...]
    still: tuple[str, ...]
    words: tuple[str, ...]


@dataclass(frozen=True)
class Changed:
    """What was done since a day, one thing each; plan: what moved since the last plan, where one is kept."""

    since: str
    words: tuple[str, ...]
    plan: SincePlan | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class Caution:
    """What to mind, and where."""

    where: str
    text: str


@dataclass(frozen=True)
class Source:
    """A source of figures, and how it was seen."""

    key: str
    text: str
    seen: str


@dataclass(frozen=True, kw_only=True)
class Answers:
    """Everything said about one place on one day."""

    schema: Literal[1, 2, 3] = SCHEMA
    name: str
    region: str
    as_of: str
    winter: str
    level: float
    base: Base
    parcels: tuple[Parcel, ...]
    stands: tuple[Stand, ...]
    totals: Whole
    species: tuple[Species, ...]
    deer: DeerAnswer
    notes: tuple[Note, ...]
    deer_plots: tuple[DeerPlot, ...]
    measure_next: tuple[str, ...]
    next_plots: NextPlots | None
    warnings: tuple[str, ...]
    heat: House
    changed: Changed
    charts: Charts
    jobs: tuple[Job, ...]
    cautions: tuple[Caution, ...]
    memory: tuple[str, ...]
    sources: tuple[Source, ...]
    headline: str
    rows: tuple[Row, ...]
    first_plots: FirstPlots | None = field(default=None, metadata=LEFT_OUT)
    wished: tuple[WishedWood, ...] | None = field(default=None, metadata=LEFT_OUT)
    sugarbushes: tuple[Sugarbush, ...] | None = field(default=None, metadata=LEFT_OUT)
    this_winter: ThisWinter | None = field(default=None, metadata=LEFT_OUT)
    wants: tuple[Wanted, ...] | None = field(default=None, metadata=LEFT_OUT)
    years_words: str | None = field(default=None, metadata=LEFT_OUT)
    deer_cautions: tuple[Caution, ...] | None = field(default=None, metadata=LEFT_OUT)
    older_notes: OlderNotes | None = field(default=None, metadata=LEFT_OUT)
