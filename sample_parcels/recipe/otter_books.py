"""Otter Lake, the books: place.toml and the notes of three years."""

from recipe import otter_ground as land

__all__ = ["PLACE_TOML", "notes"]

_LON, _LAT = land.SHEET.lonlat(*land.HOME)

PLACE_TOML = f"""\
# Otter Lake woods is INVENTED: the lake, the land, the trees, the deer and the people. It was drawn by
# sample_parcels/make_samples.py so that every command has something to work on. Do not cut or hunt by it.

name = "Otter Lake woods"
region = "lake_states"

[home]
lon = {_LON:.6f}
lat = {_LAT:.6f}

[choices]
log_rule = "international_quarter"
solid_cuft_per_cord = 79
level = 0.90
division = "210"
cord_breaks = [13, 18, 24]

[needs]
firewood_cord = 7        # the house and the sauna
firewood_low_cord = 5.5
firewood_high_cord = 8.5
dry_cord = 4.5           # under the roof already
posts = 12
poles = 4
sawlogs = 8
chips_cuyd = 20
meat_lb = 120

[deer]
goal = "hold"
leaf_off = 2025-10-28
neighbor_bucks_per_sqmi = 2.1
farmland_pct = 4

[limits]
days_of_work_per_yr = 16
tags_buck = 3
tags_doe = 1
"""


def _spot(x, y):
    lon, lat = land.SHEET.lonlat(x, y)
    return round(float(lon), 6), round(float(lat), 6)


def notes() -> list[dict]:
    """What was done and seen, autumn 2023 to autumn 2026, oldest first."""
    k, b, g = land.KETTLE, land.BEAVER, land.GRADE
    told = [
        ("2023-11-04", "kettle", "14", "seen", None, None, None, "Aili", "Ice on the pond. Two old white pines down across the woods road", (k[0] + 1650, k[1] + 900)),
        ("2023-11-19", "lake", "1", "deer", "yearling buck", 1, "deer", "Toivo", "spike on one side, 109 lb dressed", (640, 420)),
        ("2023-12-09", "kettle", "15", "firewood", None, 3.5, "cord", "Toivo", "popple tops and blown-down maple by the woods road", (k[0] + 1900, k[1] + 310)),
        ("2024-01-20", "sugarbush", "9", "firewood", None, 2.5, "cord", "Toivo and Mark", "black ash, dead, on frozen ground; left the hollow ones standing", (-430, -700)),
        ("2024-02-10", "lake", "2", "firewood", None, 1.5, "cord", "Mark", "third row of the pines, crooked ones first", (1330, 260)),
        ("2024-02-11", "lake", "2", "post", None, 9, "piece", "Mark", "8 ft, from the pine thinning, peeled", (1330, 250)),
        ("2024-03-16", "sugarbush", "7", "seen", None, None, None, "Aili", "First run of sap. 140 taps", (-960, -700)),
        ("2024-04-20", None, None, "seen", None, None, None, "Aili", "Pellet lines A to D walked", None),
        ("2024-05-04", "grade", "10", "seen", None, None, None, "Mark", "Young popple head high and thick; no tree big enough for a plot", (g[0] + 640, g[1] + 60)),
        ("2024-06-15", "beaver", "17", "seen", None, None, None, "Mark", "beaver at the bend, water up a foot since last year", (b[0] + 390, b[1] + 520)),
        ("2024-08-03", "lake", "4", "post", None, 6, "piece", "Toivo", "cedar, from blowdown on the point", (190, 1120)),
        ("2024-10-12", "kettle", "12", "sawlog", None, 740, "bdft international_quarter", "Mark", "five red oak, sold to the neighbor's mill", (k[0] + 620, k[1] + 300)),
        ("2024-10-13", "kettle", "12", "firewood", None, 4, "cord", "Toivo and Mark", "tops of the five oak", (k[0] + 640, k[1] + 290)),
        ("2024-11-24", "kettle", "12", "deer", "buck", 1, "deer", "Aili", "seven points, 137 lb dressed", (k[0] + 880, k[1] + 640)),
        ("2024-11-30", "sugarbush", "9", "deer", "doe", 1, "deer", "Mark", "106 lb dressed, fat on the back", (-320, -930)),
        ("2025-01-18", "sugarbush", "9", "firewood", None, 3, "cord", "Toivo", "dead ash along the creek, pulled by hand sled", (-350, -1050)),
        ("2025-02-09", "sugarbush", "9", "seen", None, None, None, "Aili", "Woodpeckers have blonded every ash we passed; ash borer holes in four we barked", (-410, -520)),
        ("2025-03-08", "lake", "1", "firewood", None, 2.75, "cord", "Toivo", "white ash by the drive, ahead of the borer", (900, 520)),
        ("2025-03-08", "lake", "1", "pole", None, 3, "piece", "Mark", "16 ft, straight maple", (760, 470)),
        ("2025-04-27", "grade", "11", "seen", None, None, None, "Aili", "Balsam thin on top, a few red. Budworm?", (g[0] + 2050, g[1] + 560)),
        ("2025-07-19", "kettle", "15", "seen", None, None, None, "Mark", "wind took a dozen popple on the east line, broken at ten feet", (k[0] + 2480, k[1] + 330)),
        ("2025-09-27", "kettle", "15", "firewood", None, 5, "cord", "Toivo and Mark", "the windthrown popple, before it goes punky", (k[0] + 2440, k[1] + 310)),
        ("2025-10-11", "lake", "1", "seen", None, None, None, "Aili", "Plots in stand 1. Maple seedlings ankle high everywhere, none above the knee", (520, 640)),
        ("2025-11-22", "grade", "11", "deer", "buck", 1, "deer", "Toivo", "heavy old eight, 163 lb dressed", (g[0] + 1480, g[1] + 400)),
        ("2025-11-29", "lake", "3", "deer", "buck fawn", 1, "deer", "Mark", "63 lb dressed; took it for a doe", (330, 240)),
        ("2026-01-17", "lake", "2", "firewood", None, 2, "cord", "Mark", "fifth row of the pines", (1280, 190)),
        ("2026-01-17", "lake", "2", "sawlog", None, 410, "bdft international_quarter", "Mark", "pine, eleven 8-ft sticks for the barn sills", (1290, 200)),
        ("2026-02-21", "beaver", "19", "seen", None, None, None, "Aili", "Third of the fir dead or dying on the east piece", (b[0] + 1090, b[1] + 480)),
        ("2026-03-14", "sugarbush", "9", "firewood", None, 2.5, "cord", "Toivo", "ash again, last of the frost", (-380, -820)),
        ("2026-04-25", None, None, "seen", None, None, None, "Aili", "Pellet lines again. Snow still in the cedars", None),
        ("2026-06-13", "beaver", "17", "seen", None, None, None, "Mark", "beaver dam gone, pond drained to mud", (b[0] + 370, b[1] + 480)),
        ("2026-09-12", "lake", "1", "seen", None, None, None, "Toivo", "every tree on the barn ground measured and numbered", (610, 790)),
        ("2026-10-17", "school", "6", "seen", None, None, None, "Aili", "Acorns ankle deep, best in years", (1740, 520)),
        ("2026-11-21", "kettle", "13", "deer", "yearling buck", 1, "deer", "Mark", "fork horn, 118 lb dressed", (k[0] + 860, k[1] + 890)),
    ]  # fmt: skip
    keys = ("date", "parcel_id", "stand_id", "kind", "sex_age", "amount", "unit", "who", "text")
    rows = []
    for *words, spot in told:
        lon, lat = _spot(*spot) if spot else (None, None)
        rows.append(dict(zip(keys, words, strict=True)) | {"lon": lon, "lat": lat, "corrects": None})
    # One slip and its mending: the second line says which one it replaces.
    wrong = next(i for i, row in enumerate(rows) if row["date"] == "2026-03-14")
    rows.append(
        rows[wrong] | {"amount": 1.5, "text": "ash again: a cord and a half, not two and a half", "corrects": wrong + 1}
    )
    return rows
