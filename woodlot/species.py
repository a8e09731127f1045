"""The one list of species: what families write -> the plain common name; and one thing about each of a column.

A kind may be several species (maple, red oak group, unknown hardwood): its row names its members, and what no table
says of the kind itself is the mean of theirs, or what all of them share. A word of species_words.csv means one kind,
or several between which nobody but the family can choose.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol
from unicodedata import combining, normalize

from woodlot.errors import InputError
from woodlot.trade import NOT_READ, SEEN

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd

__all__ = ["WOOD", "SpeciesList", "either", "spaced", "unaccented"]

#: Table of the properties of wood and bark.
WOOD = "wood_properties_miles_2009"
WORDS = "species_words"
#: Letters under which a word is neither guessed nor guessed to; letters up to which one slip is forgiven, else two.
LEAST_LETTERS, SHORT_LETTERS = 4, 7


class Tables(Protocol):
    """What a region offers: its tables, values worked out once, a note of the rows read."""

    def table(self, topic: str, rows: Sequence[str] | None = None) -> "pd.DataFrame": ...
    def once(self, key: Any, make: Callable[[Any], Any]) -> Any: ...
    def note(self, topic: str, rows: Sequence[str]) -> None: ...


def unaccented(text: str) -> str:
    """A text with plain letters in place of those with accents.

    >>> unaccented("Érable à sucre")
    'Erable a sucre'
    """
    if text.isascii():
        return text
    return "".join(letter for letter in normalize("NFKD", text) if not combining(letter))


def spaced(text: str) -> str:
    """A name in lower case, without accents, with blanks where people also write hyphens, underscores or points."""
    return " ".join(unaccented(text).lower().replace("-", " ").replace("_", " ").replace(".", " ").split())


def either(names: Sequence[str]) -> str:
    """Names between which somebody is to choose: a, b or c."""
    return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _ways(text: str) -> Iterator[str]:
    """A word as it is looked up: as written, as a plain number, without tree or spp. behind it, and turned round."""
    yield spaced(text)
    if number := re.fullmatch(r"0*([1-9]\d*)( 0+)?", spaced(text)):
        yield number[1]
    parts = [" ".join(part.split()) for part in re.split(r"[,()\[\]/]", spaced(text))]
    parts = [part for part in parts if part]
    for order in (parts, parts[::-1]):
        yield re.sub(r"( (trees?|spp?|species))+$", "", " ".join(order))


class SpeciesList:
    """Species of a region: names and words, kinds of several species, groups, properties of the wood.

    listed: plain common names; names: every accepted word (nicknames, codes and scientific names too, lower case) ->
    plain common name; asked: words that may mean several -> their plain names, none for what is no tree of the list;
    marks: how the reading of a word was seen; unnamed: the kinds of trees nobody named; without_bark: those that stand
    in the tables only so that an equation can be checked; stand_ins: those for which the figures of another stand in ->
    what was chosen and why.
    """

    def __init__(self, region: Tables):
        """Read the list of a region."""
        rows, words = region.table("species", rows=()), region.table(WORDS, rows=())
        self._region = region
        self.listed: tuple[str, ...] = tuple(rows["species"])
        self._members = _named(rows, "members")
        self._equations = _named(rows, "equations")
        self.unnamed = frozenset(name for name, how in self._equations.items() if how == "group")
        latin = {name: spaced(of) for name, of in _named(rows, "scientific_name").items()}
        self._genus = {name: latin.get(name, name).split()[0] for name in self.listed}
        each = list(zip(map(spaced, words["word"]), words["kind"].fillna(""), words["seen"], strict=True))
        meant = {word: tuple(kind.split(";")) for word, kind, _ in each}
        self.names: dict[str, str] = {word: kinds[0] for word, kinds in meant.items() if len(kinds) == 1 and kinds[0]}
        self.names |= {of: name for name, of in latin.items() if name not in self._members}
        self.names |= {spaced(name): name for name in self.listed}
        self.asked = {w: tuple(filter(None, kinds)) for w, kinds in meant.items() if w not in self.names}
        self.marks: dict[str, str] = {word: seen for word, _, seen in each}
        self._codes = {spaced(word) for word in words.loc[words["form"] == "code", "word"]}
        chosen = rows[(rows["seen"] == "chosen") & rows["members"].isna()]
        self.stand_ins: dict[str, str] = dict(zip(chosen["species"], chosen["where"], strict=True))
        wood = region.table(WOOD, rows=())
        self.without_bark: tuple[str, ...] = tuple(wood.loc[wood["bark_sg"].isna(), "species"])

    def means(self, text: str, also: Mapping[str, str] | None = None) -> tuple[str, ...]:
        """The plain names a word may mean, none for a word nobody knows; ``also``: words that go before the list's."""
        for way in _ways(text):
            for words in (also or {}, self.names):
                if way in words:
                    return (words[way],)
            if way in self.asked:
                return self.asked[way]
        return ()

    def mark(self, text: str) -> str:
        """How the reading of a word was seen, where it stands on nothing that was read; else ""."""
        for way in _ways(text):
            if way in self.marks:
                self._region.note(WORDS, (way,))
                return self.marks[way] if self.marks[way] in NOT_READ else ""
        return ""

    def name(self, text: Any) -> str:
        """The plain common name for a name, nickname, code or scientific name; capitals and hyphens do not matter.

        ``name("Hard maple")`` is ``"sugar maple"``. Raises InputError with the closest names when there is none, and
        with all of them when there are several.
        """
        if not isinstance(text, str):
            raise InputError(f"a species must be a name, not {text!r}")
        known = self.names.get(spaced(text))
        if known is not None:
            return known
        kinds = self.means(text)
        if len(kinds) == 1:
            return kinds[0]
        if kinds:
            raise InputError(f"{text!r} may be {either(kinds)}; write which")
        near = self.closest(text)
        like = f"did you mean {either(near)}?" if near else f"species look like {', '.join(self.listed[:3])}"
        raise InputError(f"there is no species {text!r}; {like}")

    @cached_property
    def _written(self) -> dict[str, set[str]]:
        """Words to which a slip may be mended, without blanks -> what they mean: no code, nothing short."""
        out: dict[str, set[str]] = {}
        for word, kinds in ({w: (k,) for w, k in self.names.items()} | self.asked).items():
            if word not in self._codes:
                out.setdefault(word.replace(" ", ""), set()).update(kinds)
        return {word: kinds for word, kinds in out.items() if len(word) >= LEAST_LETTERS and kinds}

    def closest(self, text: str, also: Iterable[str] = (), slips: int = 2) -> tuple[str, ...]:
        """What a word was perhaps meant for, never across genera: one kind, else those between which it lies.

        also: names that may stand beside trees (shrubs). The fewest slips count (a letter too many, missing, wrong, two
        swapped; blanks do not matter): one in a word of up to seven letters, ``slips`` in a longer one. Species of one
        genus are offered as their genus. Codes, words under four letters and those known to be no tree get nothing.
        """
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        word = list(_ways(text))[-2].replace(" ", "")[:80]
        if len(word) < LEAST_LETTERS or not word.isalpha() or any(way in self.asked for way in _ways(text)):
            return ()
        words = self._written | {spaced(name).replace(" ", ""): {name} for name in also}
        most = 1 if len(word) <= SHORT_LETTERS else slips
        near = process.extract(word, words.keys(), scorer=OSA.distance, score_cutoff=most, limit=None)
        least = min((far for _, far, _ in near), default=0)
        kinds = sorted(set().union(*(words[one] for one, far, _ in near if far == least)))
        genera = {self._genus.get(kind, kind) for kind in kinds}
        if len(kinds) > 1 and len(genera) == 1:
            every = {member for kind in kinds for member in self.members(kind)}
            whole = [kind for kind in self._members if every <= set(self.members(kind))]
            return (min(whole, key=lambda kind: len(self.members(kind))),) if whole else tuple(kinds)
        return tuple(kinds)

    def members(self, name: str) -> tuple[str, ...]:
        """The species that a kind may be; a species is its own only member."""
        if name not in self._members:
            return (name,)
        return tuple(dict.fromkeys(m for one in self._members[name].split(";") for m in self.members(one)))

    def scaled_as(self, name: str) -> tuple[str, ...]:
        """The species by the mean of whose equations a kind is scaled; itself where it goes by its group's."""
        return self.members(name) if self._equations.get(name) == "mean" else (name,)

    def within(self, species: Any, kind: str) -> "np.ndarray":
        """Whether each tree is surely of a kind: all that it may be are members of it."""
        import numpy as np
        import pandas as pd

        of = set(self.members(kind))
        codes, known = pd.factorize(np.asarray(species, dtype=object))
        return np.array([*(set(self.members(name)) <= of for name in known), False])[codes]

    def rows(self, topic: str) -> "pd.DataFrame":
        """A table by species; kinds of several have what no row of their own says as the mean of their members.

        Words that not all of them share are missing, and so is a kind none of whose members has a row. The mark is that
        of the member that stands on least.
        """
        made: pd.DataFrame = self._region.once(("rows by species", topic), lambda r: self._rows(r, topic))
        return made

    def _rows(self, region: Tables, topic: str) -> "pd.DataFrame":
        import pandas as pd

        rows = region.table(topic, rows=()).set_index("species")
        pairs = [(kind, member) for kind in self._members for member in self.members(kind)]
        each = rows.reindex([member for _, member in pairs])
        kinds = [kind for kind, _ in pairs]
        by_kind = each.groupby(kinds, sort=False)
        numbers = list(rows.select_dtypes("number"))
        of_kinds = by_kind[numbers].mean()
        for column in rows.columns.difference(numbers):
            of_kinds[column] = by_kind[column].first().where(by_kind[column].nunique(dropna=False).eq(1))
        marks = dict(enumerate(SEEN))
        weakest = each["seen"].map({mark: at for at, mark in marks.items()}).groupby(kinds, sort=False).max()
        of_kinds["seen"] = weakest.map(marks)
        of_kinds = of_kinds.loc[of_kinds["seen"].notna() | of_kinds.index.isin(rows.index), rows.columns]
        both = pd.concat([rows, of_kinds[~of_kinds.index.isin(rows.index)].astype(object)])
        for column in rows.columns.difference(["source", "where", "seen"]):
            filled = both[column].where(both[column].notna(), of_kinds[column].reindex(both.index))
            both[column] = filled.astype(float) if pd.api.types.is_numeric_dtype(rows[column]) else filled
        return both

    def read_rows(self, topic: str, names: Iterable[str]) -> None:
        """Note the rows of a table that speak of some kinds: their own, else those of their members."""
        own = self._region.once(("own rows", topic), lambda r: frozenset(r.table(topic, rows=())["species"]))
        self._region.note(topic, [m for n in names if n for m in ((n,) if n in own else self.members(n))])

    def codes(self, species: Any, size: int | None = None) -> "tuple[np.ndarray, list[str]]":
        """Species as integers into a list of plain names; -1 where none is written.

        species: one name, or a list, array or Series of names (a categorical Series is quickest). size: rows wanted;
        one name is then repeated. Raises InputError for unknown names or another number of rows.
        """
        import numpy as np
        import pandas as pd

        if isinstance(species, str):
            name = self.name(species)
            self.read_rows("species", [name])
            return np.zeros(1 if size is None else size, dtype=np.int8), [name]
        if isinstance(species, pd.Series):
            species = species.array
        if isinstance(species, pd.Categorical):
            codes, written = np.asarray(species.codes), list(species.categories)
            used = set(np.unique(codes).tolist())
            written = [t if i in used else None for i, t in enumerate(written)]
        else:
            flat = np.asarray(species, dtype=object)
            if flat.ndim == 0:
                raise InputError(f"a species must be a name, not {species!r}")
            codes, uniques = pd.factorize(flat.ravel())
            written = list(uniques)
        if size is not None and len(codes) != size:
            raise InputError(f"{len(codes)} species for {size} trees")
        known = [self.name(t) if t is not None else "" for t in written]
        self.read_rows("species", known)
        return codes.astype(np.int8 if len(known) < 128 else np.int16, copy=False), known

    def column(self, species: Any, table: str, column: str, missing: Any) -> Any:
        """One column of a species table for each species asked; one value, an array or a Series, in the form asked."""
        import numpy as np
        import pandas as pd

        rows: dict[str, Any] = self._region.once(
            ("species column", table, column), lambda r: self._by_species(table, column)
        )
        if isinstance(species, str):
            name = self.name(species)
            self.read_rows(table, [name])
            return rows.get(name, missing)
        codes, known = self.codes(species)
        self.read_rows(table, known)
        values = np.array([rows.get(k, missing) for k in known] + [missing])
        out = values[codes]
        return pd.Series(out, index=species.index) if isinstance(species, pd.Series) else out

    def _by_species(self, table: str, column: str) -> dict[str, Any]:
        rows = self.rows(table)
        if column not in rows:
            raise InputError(f"there is no column {column!r} in {table}")
        return dict(zip(rows.index, rows[column], strict=True))

    def is_hardwood(self, species: Any) -> Any:
        """True for a hardwood (leaf tree), False for a softwood or where no species is written."""
        return self.column(species, "species", "hard_soft", "") == "hardwood"

    def is_sawn(self, species: Any) -> Any:
        """False where hardly anyone makes sawlogs of any species of a kind (tree_form.csv), True for every other."""
        return self.column(species, "tree_form", "sawn", "yes") != "no"

    def jenkins_group(self, species: Any) -> Any:
        """Species group 1 to 9 of the weight equations (0 where no species is written)."""
        group = self.column(species, "species", "jenkins_group", 0)
        return int(group) if isinstance(species, str) else group.astype(int)

    def spread(self, species: Any, of: str) -> Any:
        """How far the volume or weight (volume_spread, weight_spread) of what a kind may be lies from that of the kind.

        A relative error (CV); 0 for a species, which is its own only member, and where none is written.
        """
        import numpy as np

        return np.nan_to_num(self.column(species, "species", of, 0.0))

    def wood_property(self, species: Any, name: str) -> Any:
        """A property of wood or bark: wood_sg, green_moisture_dry_pct, bark_sg, bark_pct_of_wood_vol ...

        Source: Miles and Smith 2009 (wood_properties_miles_2009.csv). NaN where the table has none.
        """
        value = self.column(species, WOOD, name, float("nan"))
        return float(value) if isinstance(species, str) else value


def _named(rows: "pd.DataFrame", column: str) -> dict[str, str]:
    """A column of words by species, where it is filled."""
    filled = rows[rows[column].notna()]
    return dict(zip(filled["species"], filled[column], strict=True))
