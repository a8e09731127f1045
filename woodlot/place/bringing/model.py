"""What goes into understanding and what comes out of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import pandas as pd

from woodlot.errors import Fault
from woodlot.region import Region

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Answers", "Layer", "Note", "Part", "Question", "There", "Understood"]


@dataclass(frozen=True, eq=False)
class Layer:
    """A layer, folder or sheet of a file: cells as text ("" where empty) under whatever stands over them.

    name: of the layer or sheet, "" where the file has but one without a name of its own. frame: columns are headings of
    the file. rows: row of each in the file. above: text that stands above the heading. shapes: as drawn, None for a
    table. crs: how their coordinates are meant, None where the file does not say.
    """

    file: str
    name: str
    frame: pd.DataFrame
    rows: Any
    above: str = ""
    shapes: Any = None
    crs: Any = None
    decimal_comma: bool = False
    cut: int = 0

    @property
    def called(self) -> str:
        """File, and layer where it is named otherwise."""
        return f"{self.file}: {self.name}" if self.name else self.file


@dataclass(frozen=True)
class Question:
    """What the family must say: a key whose words stand in say/bring.py, and its facts.

    about: what it is asked of, as the option names it. guess: what is most likely meant, "" for nothing; safe: the
    guess may be taken unasked. choices: what may be answered, none for free text.
    """

    key: str
    file: str
    about: str = ""
    guess: str = ""
    safe: bool = False
    choices: tuple[str, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Note:
    """Something understood that the family should see: a key of say/bring.py and its facts."""

    key: str
    facts: Mapping[str, Any]


@dataclass(frozen=True)
class Answers:
    """What the family said, by options or when asked; ``said`` is (key of the question, file, about) -> answer.

    An answer without a file ("" in its place) is for all files.
    """

    said: Mapping[tuple[str, str, str], str] = field(default_factory=dict)
    sheet: str = ""
    layer: str = ""
    yes: bool = False

    def get(self, question: Question) -> str | None:
        """The answer to a question, None while it is open."""
        for file in (question.file, ""):
            for about in (question.about, ""):
                told = self.said.get((question.key, file, about.lower()))
                if told is not None and (about or not question.about or question.key in ("table", "crs")):
                    return told
        return question.guess if self.yes and question.safe and question.guess else None

    def told(self, key: str, file: str = "", about: str = "") -> str | None:
        """The answer given to a key, None for none; nothing is asked."""
        return self.said.get((key, file, about.lower()), self.said.get((key, "", about.lower())))

    def with_answer(self, question: Question, answer: str) -> "Answers":
        """The answers and one more."""
        key = {
            "species_unknown": "species",
            "cover_unknown": "cover",
            "unit_unknown": "unit",
            "crs_unknown": "crs",
        }.get(question.key, question.key)
        if key == "column":
            said = {("heading", question.file, answer.lower()): question.about}
        elif key in ("outlines", "no_outlines"):
            said = {(one, question.file, question.about.lower()): answer for one in ("table", "outlines")}
        else:
            said = {(key, question.file, question.about.lower()): answer}
        return replace(self, said={**self.said, **said})


@dataclass(frozen=True, eq=False)
class There:
    """The place as it is: its region, its own words (about -> {written: meant}), outlines and ids."""

    region: Region
    words: Mapping[str, Mapping[str, str]]
    parcels: "gpd.GeoDataFrame"
    stands: "gpd.GeoDataFrame"
    plots: tuple[str, ...] = ()
    has: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Part:
    """Rows of one table out of one layer: cells as text under columns of the table, their rows in the file, shapes in
    degrees where the table is drawn; headings: of the file -> column.
    """

    table: str
    file: str
    called: str
    frame: pd.DataFrame
    rows: Any
    shapes: Any = None
    headings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Understood:
    """All that was understood of the files: parts by table, notes to show, questions still open, faults.

    words: (about, written, meant) that the family answered, to be remembered. home: (longitude, latitude) of the house.
    left: layers that hold nothing for a place.
    """

    parts: tuple[Part, ...]
    notes: tuple[Note, ...]
    questions: tuple[Question, ...]
    faults: tuple[Fault, ...]
    words: tuple[tuple[str, str, str], ...] = ()
    home: tuple[float, float] | None = None
    left: tuple[str, ...] = ()
