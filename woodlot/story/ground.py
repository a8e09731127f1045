"""The rasters of a place, opened and laid under the outlines.

raster_faults   what of them needs mending, what has no use
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from woodlot.errors import Fault, InputError
from woodlot.land import ground
from woodlot.stand import seen_from_above

__all__ = ["raster_faults"]


def raster_faults(rasters: Mapping[str, Path], outlines: Any = None) -> tuple[list[Fault], list[str]]:
    """What needs mending in the rasters of a place, and one line for each whose name says no use.

    rasters: name -> file; outlines: parcels or stands under which their cells are read, None where there are none yet
    (the rasters are only opened then).
    """
    faults, notes = [], []
    known = {*seen_from_above.ELEVATION, *seen_from_above.CANOPY, *seen_from_above.COVER}
    for name, path in rasters.items():
        if name not in known and not name.endswith(seen_from_above.PICTURE_ENDS):
            notes.append(f"{path.name} is not used: name it elevation, canopy_height, land_cover or ..._picture.")
            continue
        try:
            if outlines is None or outlines.empty:
                ground.about(path)
            else:
                ground.zonal(outlines, path, ("cells",))
        except InputError as error:
            found, _, remedy = str(error).removeprefix(f"{path.name} ").partition("; ")
            found = found.replace("and the outlines do not meet: the raster lies", "lies elsewhere: it is")
            found = found.replace(f"raster: {path.name}: ", "raster: ").replace(f"'{path}' ", "").rstrip(".")
            remedy = remedy or "get the file again, or take it out of the folder"
            end = "" if remedy.endswith("?") else "."
            faults.append(Fault(path.name, None, "", found, f"{remedy[:1].upper()}{remedy[1:]}{end}"))
    return faults, notes
