"""The one list of species: what families write -> the plain common name; and one thing about each of a column."""

from collections.abc import Callable, Iterable, Sequence
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, Protocol

from woodlot.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd

__all__ = ["SpeciesList", "spaced"]

WOOD = "wood_properties_miles_2009"


class Tables(Protocol):
    """What a region offers: its tables, values worked out once, a note of the rows read."""

    def table(self, topic: str, rows: Sequence[str] | None = None) -> "pd.DataFrame": ...
    def once(self, key: Any, make: Callable[[Any], Any]) -> Any: ...
    def note(self, topic: str, rows: Sequence[str]) -> None: ...


def spaced(text: str) -> str:
    """A name in lower case with blanks where people also write hyphens, underscores or points."""
    return " ".join(text.lower().replace("-", " ").replace("_", " ").replace(".", " ").split())


class SpeciesList:
    """Species of a region: names and nicknames, groups, properties of the wood.

    listed: plain common names; names: every accepted name (nicknames and scientific names too, lower case) -> plain
    common name; without_bark: those that stand in the tables only so that an equation can be checked; stand_ins: those
    for which the figures of another stand in -> what was chosen and why.
    """

    def __init__(self, region: Tables):
        """Read the list of a region."""
        rows = region.table("species", rows=())
        self._region = region
        self.listed: tuple[str, ...] = tuple(rows["species"])
        self.names: dict[str, str] = {}
        for name, nicknames, latin in zip(rows["species"], rows["other_names"], rows["scientific_name"], strict=True):
            for other in [*(nicknames.split(";") if isinstance(nicknames, str) else []), latin]:
                self.names.setdefault(spaced(other), name)
        self.names.update({spaced(name): name for name in rows["species"]})
        chosen = rows[rows["seen"] == "chosen"]
        self.stand_ins: dict[str, str] = dict(zip(chosen["species"], chosen["where"], strict=True))
        wood = region.table(WOOD, rows=())
        self.without_bark: tuple[str, ...] = tuple(wood.loc[wood["bark_sg"].isna(), "species"])

    def name(self, text: Any) -> str:
        """The plain common name for a name, nickname or scientific name; capitals and hyphens do not matter.

        ``name("Soft maple")`` is ``"red maple"``. Raises InputError with the closest names when there is none.
        """
        if not isinstance(text, str):
            raise InputError(f"a species must be a name, not {text!r}")
        known = self.names.get(spaced(text))
        if known is None:
            near = self.closest(text)
            like = f"did you mean {' or '.join(near)}?" if near else f"species look like {', '.join(self.listed[:3])}"
            raise InputError(f"there is no species {text!r}; {like}")
        return known

    def closest(self, text: str) -> list[str]:
        """Up to four plain names that are written most like a text."""
        near = get_close_matches(spaced(text), list(self.names), n=4, cutoff=0.6)
        return list(dict.fromkeys(self.names[n] for n in near))

    def codes(self, species: Any, size: int | None = None) -> "tuple[np.ndarray, list[str]]":
        """Species as integers into a list of plain names; -1 where none is written.

        species: one name, or a list, array or Series of names (a categorical Series is quickest). size: rows wanted;
        one name is then repeated. Raises InputError for unknown names or another number of rows.
        """
        import numpy as np
        import pandas as pd

        if isinstance(species, str):
            name = self.name(species)
            self._note("species", [name])
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
        self._note("species", known)
        return codes.astype(np.int8 if len(known) < 128 else np.int16, copy=False), known

    def column(self, species: Any, table: str, column: str, missing: Any) -> Any:
        """One column of a species table for each species asked; one value, an array or a Series, in the form asked."""
        import numpy as np
        import pandas as pd

        rows: dict[str, Any] = self._region.once(
            ("species column", table, column), lambda r: _by_species(r, table, column)
        )
        if isinstance(species, str):
            name = self.name(species)
            self._note(table, [name])
            return rows.get(name, missing)
        codes, known = self.codes(species)
        self._note(table, known)
        values = np.array([rows.get(k, missing) for k in known] + [missing])
        out = values[codes]
        return pd.Series(out, index=species.index) if isinstance(species, pd.Series) else out

    def _note(self, table: str, names: Iterable[str]) -> None:
        self._region.note(table, tuple(n for n in names if n))

    def is_hardwood(self, species: Any) -> Any:
        """True for a hardwood (leaf tree), False for a softwood or where no species is written."""
        return self.column(species, "species", "hard_soft", "") == "hardwood"

    def is_sawn(self, species: Any) -> Any:
        """False for a kind of which hardly anyone makes sawlogs (tree_form.csv), True for every other."""
        return self.column(species, "tree_form", "sawn", "yes") == "yes"

    def jenkins_group(self, species: Any) -> Any:
        """Species group 1 to 9 of the weight equations (0 where no species is written)."""
        group = self.column(species, "species", "jenkins_group", 0)
        return int(group) if isinstance(species, str) else group

    def wood_property(self, species: Any, name: str) -> Any:
        """A property of wood or bark: wood_sg, green_moisture_dry_pct, bark_sg, bark_pct_of_wood_vol ...

        Source: Miles and Smith 2009 (wood_properties_miles_2009.csv). NaN where the table has none.
        """
        value = self.column(species, WOOD, name, float("nan"))
        return float(value) if isinstance(species, str) else value


def _by_species(region: Tables, table: str, column: str) -> dict[str, Any]:
    rows = region.table(table, rows=())
    if column not in rows:
        raise InputError(f"there is no column {column!r} in {table}")
    return dict(zip(rows["species"], rows[column], strict=True))
