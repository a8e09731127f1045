"""Notes of the ledger as answers: each as it is, and the oldest of a long ledger by year and kind."""

from dataclasses import dataclass, field

from woodlot.answers.as_json import LEFT_OUT

__all__ = ["KindOfYear", "Note", "OlderNotes", "YearOfNotes"]


@dataclass(frozen=True)
class Note:
    """A line of the ledger that stands; tag: wood, deer or seen; details: what its other columns tell, in words."""

    line: int
    date: str
    kind: str
    tag: str
    amount: float | None
    lon: float | None
    lat: float | None
    text: str
    unit: str
    parcel_id: str
    stand_id: str
    sex_age: str
    who: str
    species: str | None = field(default=None, metadata=LEFT_OUT)
    age_yr: float | None = field(default=None, metadata=LEFT_OUT)
    dressed_lb: float | None = field(default=None, metadata=LEFT_OUT)
    milk: str | None = field(default=None, metadata=LEFT_OUT)
    job: str | None = field(default=None, metadata=LEFT_OUT)
    photo: str | None = field(default=None, metadata=LEFT_OUT)
    details: str | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class KindOfYear:
    """What the notes of one kind and unit (of deer: sex and age) come to in a year; amount: none where none has one."""

    kind: str
    sex_age: str
    unit: str
    amount: float | None
    notes: int


@dataclass(frozen=True)
class YearOfNotes:
    """The older notes of one year."""

    year: int
    notes: int
    words: str
    kinds: tuple[KindOfYear, ...]


@dataclass(frozen=True)
class OlderNotes:
    """Notes too old and too many to be shown one by one; until: the day of the newest; newest year first."""

    notes: int
    until: str
    words: str
    years: tuple[YearOfNotes, ...]
