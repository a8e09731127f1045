"""Species: names and nicknames, groups, properties of the wood.

species_name   what a family writes ("soft maple") -> the plain common name ("red maple")
species_codes  a column of names as small integers, the way the equations want it
is_hardwood, jenkins_group, wood_property   one thing about each species of a column
"""

from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.tables import table

__all__ = ["all_species", "is_hardwood", "jenkins_group", "species_codes", "species_name", "wood_property"]


@cache
def all_species() -> tuple[str, ...]:
    """Plain common names of all species that woodlot knows."""
    return tuple(table("species")["species"])


@cache
def _names() -> dict[str, str]:
    rows = table("species")
    told: dict[str, str] = {}
    for name, nicknames, latin in zip(rows["species"], rows["other_names"], rows["scientific_name"], strict=True):
        for other in [*(nicknames.split(";") if isinstance(nicknames, str) else []), latin]:
            told.setdefault(_plain(other), name)
    told.update({_plain(name): name for name in rows["species"]})
    return told


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").replace("_", " ").replace(".", " ").split())


@cache
def species_name(text: str) -> str:
    """The plain common name for a name, nickname or scientific name; capitals and hyphens do not matter.

    Raises InputError with the closest names when there is none. ``species_name("Soft maple")`` is ``"red maple"``.
    """
    if not isinstance(text, str):
        raise InputError(f"a species must be a name, not {text!r}")
    found = _names().get(_plain(text))
    if found is None:
        from difflib import get_close_matches

        near = get_close_matches(_plain(text), list(_names()), n=4, cutoff=0.6)
        close = list(dict.fromkeys(_names()[n] for n in near))
        hint = (
            f"; did you mean {' or '.join(close)}?" if close else f"; species look like {', '.join(all_species()[:3])}"
        )
        raise InputError(f"there is no species {text!r}{hint}")
    return found


def species_codes(species: Any, size: int | None = None) -> tuple[np.ndarray, list[str]]:
    """Species as integers into a list of plain names; -1 where none is written.

    species: one name, or a list, array or Series of names (a categorical Series is quickest). size: rows wanted; one
    name is then repeated. Raises InputError for unknown names or another number of rows.
    """
    if isinstance(species, str):
        return np.zeros(1 if size is None else size, dtype=np.int8), [species_name(species)]
    if isinstance(species, pd.Series):
        species = species.array
    if isinstance(species, pd.Categorical):
        codes, told = np.asarray(species.codes), list(species.categories)
        used = np.unique(codes)
        told = [t if i in set(used.tolist()) else None for i, t in enumerate(told)]
    else:
        flat = np.asarray(species, dtype=object)
        if flat.ndim == 0:
            raise InputError(f"a species must be a name, not {species!r}")
        codes, uniques = pd.factorize(flat.ravel())
        told = list(uniques)
    if size is not None and len(codes) != size:
        raise InputError(f"{len(codes)} species for {size} trees")
    known = [species_name(t) if t is not None else "" for t in told]
    return codes.astype(np.int8 if len(known) < 128 else np.int16, copy=False), known


def _column(species: Any, topic: str, column: str, missing: Any) -> Any:
    """One column of a species table for each species asked; float or object, in the form asked."""
    frame = table(topic)
    rows = dict(zip(frame["species"], frame[column], strict=True))
    if isinstance(species, str):
        return rows.get(species_name(species), missing)
    codes, known = species_codes(species)
    values = np.array([rows.get(k, missing) for k in known] + [missing])
    told = values[codes]
    return pd.Series(told, index=species.index) if isinstance(species, pd.Series) else told


def is_hardwood(species: Any) -> Any:
    """True for a hardwood (leaf tree), False for a softwood or where no species is written."""
    told = _column(species, "species", "hard_soft", "")
    return told == "hardwood"


def jenkins_group(species: Any) -> Any:
    """Species group 1 to 9 of the weight equations (0 where no species is written)."""
    told = _column(species, "species", "jenkins_group", 0)
    return int(told) if isinstance(species, str) else told


def wood_property(species: Any, name: str) -> Any:
    """A property of wood or bark: wood_sg, green_moisture_dry_pct, bark_sg, bark_pct_of_wood_vol ...

    Source: Miles and Smith 2009 (wood_properties_miles_2009.csv). NaN where the table has none.
    """
    if name not in table("wood_properties_miles_2009"):
        raise InputError(f"there is no wood property {name!r}")
    told = _column(species, "wood_properties_miles_2009", name, np.nan)
    return float(told) if isinstance(species, str) else told
