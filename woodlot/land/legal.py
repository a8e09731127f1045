"""Written descriptions of land in sections: aliquot parts to nominal acres and a first sketch.

Reading   read, nominal_acres
Drawing   sketch

A part is half or quarter of what follows it: the NW1/4 of the SE1/4 is forty of the 640 acres of a section. Nominal
acres are what the words say, not what is there: sections along the north and west sides of a township are short or
long, and no word says how much road was kept out. Nothing here is a survey.
"""

import re
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

from woodlot.errors import InputError, NoAnswer
from woodlot.units import AC_PER_SQMI

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Description", "nominal_acres", "read", "sketch"]

CAUTION = (
    "A first sketch from the words of the deed, drawn with straight lines between the section's corners. NOT a survey."
)

Chain = tuple[str, ...]


@dataclass(frozen=True)
class Description:
    """How a description was read.

    parts: section (text, "" when not told) and chain of aliquot parts, the smallest first, for each piece; acres:
    nominal; words: what was understood; less: what the description keeps out, in its own words ("" for nothing), which
    is NOT taken off the acres; others: acres of other ways to read it.
    """

    parts: tuple[tuple[str, Chain], ...]
    acres: float
    words: str
    less: str = ""
    others: tuple[float, ...] = ()


#: What cannot be worked out from words alone, and why.
_REFUSED = (
    (
        r"\b(gov(ernmen|')?t\.?|government|fractional)\s*lots?\b|\blots?\s+(no\.?\s*)?[0-9]+|\boutlot",
        "a lot has the acres that its plat says, not a round number; look at the plat or the tax roll",
    ),
    (
        r"\b(beginning at|point of beginning|p\.?o\.?b\.?\b|thence|bearing|rods?|chains?|feet|meander)",
        "it runs by bearings and distances (metes and bounds), which words alone do not close; draw it on the map",
    ),
    (
        r"\b(north|south|east|west|[nsew])(erly)?\.?\s+(part|[0-9.]+\s*ac(res?|\.)?)\b|\bpart of\b|\bthat part\b",
        "it takes a part that is no half or quarter; only the map or a survey knows how much",
    ),
    (
        r"\b(lying|north|south|east|west|[nsew])(erly)?\.? of (the )?"
        r"(?!(n|s|e|w|north|south|east|west|ne|nw|se|sw)\b)[a-z]*\s*[a-z]*\s*"
        r"(road|grade|river|creek|stream|lake|railroad|railway|highway|line|right)",
        "it is bounded by a road, water or line that is not in the words; draw it on the map",
    ),
)
_FRACTIONS = {"½": "1/2", "¼": "1/4", "⁄": "/", "∕": "/"}
_NAMES = (
    (r"\bnorth\s*-?\s*west\b", "nw"),
    (r"\bnorth\s*-?\s*east\b", "ne"),
    (r"\bsouth\s*-?\s*west\b", "sw"),
    (r"\bsouth\s*-?\s*east\b", "se"),
    (r"\bnorth(ern)?\b", "n"),
    (r"\bsouth(ern)?\b", "s"),
    (r"\beast(ern)?\b", "e"),
    (r"\bwest(ern)?\b", "w"),
    (r"\bone[\s-]*half\b|\bhalf\b", "1/2"),
    (r"\bone[\s-]*(quarter|fourth)\b|\bquarter\b|\bfourth\b", "1/4"),
)
_SECTION = r"\bsec(tion|t)?s?\b\.?\s*(no\.?\s*)?([0-9]{1,2})\b"
_PLACE = (
    r"\b(township|twp\.?|town|t)\.?\s*[0-9]+\s*-?\s*(n|s|north|south)?\b\.?",
    r"\b(range|rge\.?|r)\.?\s*[0-9]+\s*-?\s*(e|w|east|west)?\b\.?",
    r"\b([0-9](st|nd|rd|th)|[a-z]+)\s+(principal\s+meridian|p\.?m\.?)\b",
    r"\b[a-z]+ county\b.*$",
)
_EXCEPTION = r"[,;(]?\s*\b(less|except(ing)?|exc\.?|ex\.?|excluding|save and except)\b(.*)$"
_PART = re.compile(r"(ne|nw|se|sw)\s*(1/4|/4|4)?|([nsew])\s*(1/2|/2|2)")
_ALL = re.compile(r"\ball( of)?\b|\bentire\b|\bwhole\b")


def nominal_acres(text: str, near_ac: float | None = None) -> float:
    """Acres that a description by aliquot parts names.

    Parameters
    ----------
    text
        Such as "N1/2 of NE1/4 and SW1/4 NE1/4, sec 8".
    near_ac
        Acres by deed or map, to choose by where the words can be read in two ways [ac].

    Returns
    -------
    float [ac], before anything that is kept out ("less road").

    Raises
    ------
    NoAnswer
        For lots, metes and bounds, "part of", and words that can be read in two ways when ``near_ac`` is missing. The
        message says which and what would help.

    Example: ``nominal_acres("NW1/4SE1/4")`` is 640 x 1/4 x 1/4 = 40.
    """
    return read(text, near_ac).acres


def read(text: str, near_ac: float | None = None) -> Description:
    """The whole of what is understood of a description; arguments and errors as for ``nominal_acres``."""
    if not isinstance(text, str) or not text.strip():
        raise NoAnswer("there is no description to read")
    if near_ac is not None and not near_ac > 0:
        raise InputError(f"acres to compare with must be above 0, not {near_ac!r}")
    plain, less = _plain(text)
    for pattern, reason in _REFUSED:
        if re.search(pattern, plain):
            raise NoAnswer(f"no nominal acres for {text.strip()!r}: {reason}")
    ways = _readings(_by_section(plain, text), text)
    acres = [sum(_acres(chain) for _, chain in way) for way in ways]
    if len(ways) > 1 and near_ac is None:
        told = " or ".join(f"{a:g} acres ({_said(w)})" for a, w in zip(acres, ways, strict=True))
        raise NoAnswer(f"{text.strip()!r} can be read as {told}; give the acres of the deed or the map")
    best = min(range(len(ways)), key=lambda i: abs(acres[i] - near_ac)) if near_ac is not None else 0
    others = tuple(a for i, a in enumerate(acres) if i != best)
    words = f"{_said(ways[best])}: {acres[best]:g} nominal acres"
    if others:
        words += (
            f"; read so because the map or deed says {near_ac:g} acres, and not {', '.join(f'{a:g}' for a in others)}"
        )
    if less:
        words += f"; what is kept out ({less!r}) is not taken off"
    return Description(tuple(ways[best]), acres[best], words, less, others)


def _plain(text: str) -> tuple[str, str]:
    """Lower case, plain fractions, short names; and what is kept out, in its own words."""
    out = " ".join(text.split())
    for mark, plain in _FRACTIONS.items():
        out = out.replace(mark, plain)
    kept = re.search(_EXCEPTION, out, flags=re.IGNORECASE)
    less = ""
    if kept:
        less, out = kept.group(0).strip(" ,;()"), out[: kept.start()]
    out = out.lower()
    for pattern, short in _NAMES:
        out = re.sub(pattern, short, out)
    out = re.sub(r"\b(the|a parcel of land|land|located|lying|being|situated)\b", " ", out)
    return " ".join(out.split()), less


def _by_section(plain: str, text: str) -> list[tuple[str, str]]:
    """(section, words) for each section named; the words before it belong to it, or after it when it comes first."""
    short = re.match(r"^\s*([0-9]{1,2})\s*-\s*[0-9]+\s*[ns]?\s*-\s*[0-9]+\s*[ew]?\b", plain)
    if short:
        return [(short.group(1), _bare(plain[short.end() :]))]
    marks = list(re.finditer(_SECTION, plain))
    if not marks:
        return [("", _bare(plain))]
    pieces = [
        plain[a:b] for a, b in zip([0, *(m.end() for m in marks)], [*(m.start() for m in marks), None], strict=True)
    ]
    numbers = [m.group(3) for m in marks]
    if any(not 1 <= int(n) <= 36 for n in numbers):
        raise NoAnswer(f"{text.strip()!r} names a section that no township has; they run from 1 to 36")
    told = [_bare(piece) for piece in pieces]
    first = bool(told[0])
    rest = told[:-1] if first else told[1:]
    if first and told[-1]:
        raise NoAnswer(f"parts of {text.strip()!r} stand before and after the section; write the parts first")
    return list(zip(numbers, rest, strict=True))


def _bare(words: str) -> str:
    """A piece without township, range and meridian, and without loose joints at its ends."""
    for pattern in _PLACE:
        words = re.sub(pattern, " ", words)
    words = " ".join(words.split())
    joint = r"(?:\b(?:of|in|and)\b|[,;:.&\s])+"
    return re.sub(rf"^{joint}|{joint}$", "", words).strip()


def _readings(told: list[tuple[str, str]], text: str) -> list[list[tuple[str, Chain]]]:
    """Every sound way to read it: pieces joined, or (commas and "and" before an "of") nested or shared."""
    out: list[list[tuple[str, Chain]]] = [[]]
    for section, words in told:
        ways = [[(section, chain) for chain in way] for way in _ways(words, text)]
        out = [before + way for before in out for way in ways]
    unique: list[list[tuple[str, Chain]]] = []
    for way in out:
        if way not in unique:
            unique.append(way)
    return unique


def _ways(words: str, text: str) -> list[list[Chain]]:
    if not words or _ALL.fullmatch(words):
        return [[()]]
    words = _ALL.sub(" ", words)
    items = [_chain(item, text) for item in re.split(r",\s*and\b|[,;&+]|\band\b", words) if item.strip()]
    only_commas = not re.search(r"[;&+]|\band\b", words)
    tried = [items]
    if len(items) > 1 and len(items[-1]) == 1 and only_commas and all(len(i) == 1 for i in items):
        tried.append([tuple(p for item in items for p in item)])
    if len(items) > 1 and len(items[-1]) > 1 and all(len(i) == 1 for i in items[:-1]):
        tried.append([*(item + items[-1][1:] for item in items[:-1]), items[-1]])
    sound = [way for way in tried if not _overlap(way)]
    if not sound:
        raise NoAnswer(f"two parts of {text.strip()!r} lie over each other; check the commas")
    return sound


def _chain(item: str, text: str) -> Chain:
    """Parts of one piece, the smallest first. Words between brackets that only repeat a part are skipped."""
    item = re.sub(r"\([^)]*\)", " ", item)
    left = re.sub(r"\bof\b|\bin\b|[.\s]", " ", item).strip()
    found: list[str] = []
    at = 0
    packed = left.replace(" ", "")
    while at < len(packed):
        match = _PART.match(packed, at)
        if not match:
            raise NoAnswer(f"{item.strip()!r} in {text.strip()!r} is not a half or a quarter such as N1/2 or NE1/4")
        found.append(match.group(1) or match.group(3))
        at = match.end()
    if not found:
        raise NoAnswer(f"there is no half or quarter in {text.strip()!r}")
    return tuple(found)


def _acres(chain: Chain) -> float:
    acres = AC_PER_SQMI
    for part in chain:
        acres /= 4.0 if len(part) == 2 else 2.0
    return acres


def _box(chain: Chain) -> tuple[float, float, float, float]:
    """West, south, east, north of a chain in a section one wide."""
    west, south, east, north = 0.0, 0.0, 1.0, 1.0
    for part in reversed(chain):
        x, y = (west + east) / 2.0, (south + north) / 2.0
        west, east = (x if "e" in part else west), (x if "w" in part else east)
        south, north = (y if "n" in part else south), (y if "s" in part else north)
    return west, south, east, north


def _overlap(way: list[Chain]) -> bool:
    boxes = [_box(chain) for chain in way]
    return any(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for a, b in combinations(boxes, 2))


def _said(way: list[tuple[str, Chain]]) -> str:
    told = []
    for section, chain in way:
        parts = " of the ".join(f"{p.upper()}{'1/4' if len(p) == 2 else '1/2'}" for p in chain) or "all"
        told.append(f"{parts} of section {section}" if section else parts)
    return " and ".join(told)


def sketch(text: str, section_corners: Any, near_ac: float | None = None) -> "gpd.GeoDataFrame":
    """A first outline of a description, from the four corners of its section.

    Parameters
    ----------
    text
        As for ``nominal_acres``; one section only.
    section_corners
        Mapping with "nw", "ne", "se", "sw" -> (lon, lat), and, where they are known, the quarter corners "n", "e",
        "s", "w" and the center "c". What is missing is taken half way.
    near_ac
        As for ``nominal_acres``.

    Returns
    -------
    Frame of one row in longitude and latitude: description, nominal_acres, acres (of the sketch), kind "sketch",
    caution (say it wherever the outline is shown) and geometry.

    Raises
    ------
    NoAnswer
        As for ``nominal_acres``, and for more than one section.
    InputError
        For corners that are missing or not in their place.

    Notes
    -----
    Each quarter of the section is cut on straight lines between its corners, halves at equal distances.
    """
    import geopandas as gpd
    import numpy as np
    import shapely

    from woodlot.land.parcels import acres_geodesic

    told = read(text, near_ac)
    if len({section for section, _ in told.parts}) > 1:
        raise NoAnswer(f"{text.strip()!r} lies in more than one section; sketch each with its own corners")
    net = _net(section_corners)
    shapes = []
    for _, chain in told.parts:
        west, south, east, north = _box(chain)
        xs = sorted({west, east, *(x for x in (0.5,) if west < x < east)})
        ys = sorted({south, north, *(y for y in (0.5,) if south < y < north)})
        ring = [(x, south) for x in xs] + [(east, y) for y in ys[1:]]
        ring += [(x, north) for x in xs[-2::-1]] + [(west, y) for y in ys[-2:0:-1]]
        shapes.append(shapely.Polygon([_placed(net, x, y) for x, y in ring]))
    shape = shapely.union_all(np.array(shapes, dtype=object), grid_size=1e-9)
    return gpd.GeoDataFrame(
        {
            "description": [text.strip()],
            "nominal_acres": [told.acres],
            "acres": [acres_geodesic(shape)],
            "kind": ["sketch"],
            "caution": [f"{CAUTION} {told.words}."],
        },
        geometry=[shape],
        crs=4326,
    )


def _net(corners: Any) -> Any:
    """Nine points of a section as (row from the south, column from the west) -> lon, lat."""
    import numpy as np
    import shapely

    missing = [name for name in ("nw", "ne", "se", "sw") if name not in corners]
    if missing:
        raise InputError(f"a sketch needs the section's corners; missing: {', '.join(missing)}")
    at = {name: np.asarray(place, dtype=float) for name, place in corners.items()}
    ring = shapely.Polygon([at["sw"], at["se"], at["ne"], at["nw"]])
    turned_right = shapely.is_ccw(ring.exterior)
    placed = at["ne"][0] > at["nw"][0] and at["se"][0] > at["sw"][0] and at["nw"][1] > at["sw"][1]
    if not (ring.is_valid and turned_right and placed and at["ne"][1] > at["se"][1]):
        raise InputError("the section's corners are not in their places; give nw, ne, se and sw as (lon, lat)")
    half = {"n": ("nw", "ne"), "e": ("ne", "se"), "s": ("sw", "se"), "w": ("nw", "sw")}
    for name, (a, b) in half.items():
        at.setdefault(name, (at[a] + at[b]) / 2.0)
    at.setdefault("c", _crossing(at))
    return np.array([[at["sw"], at["s"], at["se"]], [at["w"], at["c"], at["e"]], [at["nw"], at["n"], at["ne"]]])


def _crossing(at: dict[str, Any]) -> Any:
    """Where the lines between opposite quarter corners cross: the center of the section."""
    import numpy as np

    along, across_ = at["n"] - at["s"], at["e"] - at["w"]
    t, _ = np.linalg.solve(np.column_stack([along, -across_]), at["w"] - at["s"])
    return at["s"] + t * along


def _placed(net: Any, x: float, y: float) -> Any:
    """A point of the section (0 to 1 from the west and the south), straight between the corners of its quarter."""
    i, j = int(y >= 0.5 and y > 0), int(x >= 0.5 and x > 0)
    u, v = 2.0 * x - j, 2.0 * y - i
    return (net[i, j] * (1 - u) + net[i, j + 1] * u) * (1 - v) + (net[i + 1, j] * (1 - u) + net[i + 1, j + 1] * u) * v
