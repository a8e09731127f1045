"""What rasters and water say of a place, and how much of each stand may be worked by it.

looked_at       slope, canopy, cover, strips, steep ground, distances, pictures
to_work         the stands with the acres on which wood may be cut
raster_faults   every raster opened and laid under the outlines: what of them needs mending, what has no use
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from woodlot.errors import Fault, InputError
from woodlot.land import ground
from woodlot.place import Place
from woodlot.stand import overhead
from woodlot.stand.overhead import Seen

__all__ = ["looked_at", "raster_faults", "to_work"]

#: Acres under this are not spoken of.
LEAST_AC = 0.05


def looked_at(place: Place, land_told: Any, pictures: bool = True) -> Seen:
    """What rasters and water say of the stands of ``story.measured``."""
    return overhead.seen(
        land_told.stands,
        place.parcels,
        place.features,
        place.rasters,
        place.home,
        codes=place.cover_codes,
        state=place.choices.get("state"),
        region=place.region,
        pictures=pictures,
    )


def to_work(land_told: Any, over: Seen) -> pd.DataFrame:
    """The stands for the cut: strips along water and steep ground are off their workable acres, once.

    Adds workable_ac, slope_pct, miles_from_home and left_out (words, "" where nothing is); frozen_ground_only also
    where the ground is wet. What a strip must keep is not asked for besides: its acres are gone already.
    """
    stands = land_told.stands
    told = over.stands.set_index("stand_id").reindex(stands["stand_id"].astype(str))
    miles = land_told.parcels.set_index("parcel_id")["miles_from_home"]
    out = stands.assign(
        miles_from_home=stands["parcel_id"].map(miles).to_numpy(),
        workable_ac=told["workable_ac"].to_numpy(dtype=float),
        frozen_ground_only=told["wet"].to_numpy(dtype=bool),
        left_out=_left_out(land_told.stands, over),
    )
    return out.assign(slope_pct=told["slope_pct"].to_numpy(dtype=float)) if "slope_pct" in told else out


def _left_out(stands: Any, over: Seen) -> list[str]:
    """Acres of each stand on which nothing is cut, in words, such as: 2.3 acres along Otter Lake are left out."""
    told = over.stands.set_index("stand_id")
    out = []
    for stand, shape in zip(stands["stand_id"].astype(str), stands.geometry, strict=True):
        strip, steep = float(told.loc[stand, "strip_ac"]), float(told.loc[stand, "steep_ac"])
        parts = []
        if strip >= LEAST_AC:
            near = over.strips[over.strips.intersects(shape)]["name"].replace("", "water").unique()
            parts.append(f"{strip:.1f} acres along {' and '.join(near)}")
        if steep >= LEAST_AC:
            parts.append(f"{steep:.1f} acres too steep for skidding")
        out.append(f"{' and '.join(parts)} are left out." if parts else "")
    return out


def raster_faults(rasters: Mapping[str, Path], outlines: Any = None) -> tuple[list[Fault], list[str]]:
    """What needs mending in the rasters of a place, and one line for each whose name says no use.

    rasters: name -> file; outlines: parcels or stands under which their cells are read, None where there are none yet
    (the rasters are only opened then).
    """
    faults, notes = [], []
    known = {*overhead.ELEVATION, *overhead.CANOPY, *overhead.COVER}
    for name, path in rasters.items():
        if name not in known and not name.endswith(overhead.PICTURE_ENDS):
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
