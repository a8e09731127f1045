"""Soils and plants of the ground as families write them -> the soils by which growth is known.

name_soils   the stands with the soil that is meant; a word nobody knows, or words that mean several soils, are faults
"""

import re
from collections.abc import Mapping
from dataclasses import replace

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import NOT_MEASURED, short
from woodlot.region import Region
from woodlot.species import either, spaced
from woodlot.trade import nearest

__all__ = ["name_soils"]

COLUMN = "soil"
#: Words offered for one that nobody knows.
NEAR = 3
_BETWEEN = re.compile(r"\s*(?:[,;/+&]|\band\b)\s*")


def name_soils(stands: Sheet, region: Region, faults: list[Fault], notes: list[str]) -> Sheet:
    """The stands, each with a soil of site_growth.csv or none; one remark tells how other words were read."""
    soils = list(dict.fromkeys(region.table("site_growth", rows=())["soil"]))
    rows = region.table("soil_words", rows=())
    known = dict(zip(rows["word"].map(spaced), rows["soil"], strict=True)) | {spaced(one): one for one in soils}
    cells = stands.frame[COLUMN]
    cells = cells.where(~cells.isin(NOT_MEASURED))
    parts = {cell: _parts(str(cell), known) for cell in cells.dropna().unique()}
    meant = {cell: {known[part] for part in each if part in known} for cell, each in parts.items()}
    good = {c: next(iter(meant[c])) for c, each in parts.items() if len(meant[c]) == 1 and known.keys() >= set(each)}
    wrong = cells.notna() & ~cells.isin(list(good))
    faults += stands.faults(wrong, COLUMN, lambda at: _remedy(parts[cells.iloc[at]], known, soils))
    region.note("soil_words", [part for cell in good for part in parts[cell] if part not in soils])
    told = [f'"{short(str(cell))}" is read as {soil}' for cell, soil in sorted(good.items()) if cell != soil]
    notes += (
        [f"{stands.file}: by the ground, {', '.join(told)}. It moves growth, so look whether it is so."] if told else []
    )
    return replace(stands, frame=stands.frame.assign(soil=cells.map(good).astype("str")))


def _parts(cell: str, known: Mapping[str, str]) -> list[str]:
    """The words of a cell as they are compared, a plural as its singular where only that is known."""
    whole = spaced(cell)
    each = [whole] if whole in known else [part for part in map(spaced, _BETWEEN.split(cell.lower())) if part]
    singular = [re.sub(r"(?<=r)ries$", "ry", one) if one.endswith("rries") else one.removesuffix("s") for one in each]
    return [one if one in known or less not in known else less for one, less in zip(each, singular, strict=True)]


def _remedy(parts: list[str], known: Mapping[str, str], soils: list[str]) -> str:
    """What would be right in place of words that mean no soil, or several."""
    strange = [part for part in parts if part not in known]
    if not strange:
        return f"They speak of {either(sorted({known[part] for part in parts}))}. Write which it is."
    near = nearest(strange[0], list(known), NEAR) if len(strange[0]) > 2 else []
    like = f" Closest words: {either(near)}." if near else ""
    return f"Must be {either(soils)}, or a plant that tells it, such as blueberry or wild leek.{like} Empty: not known."
