"""The words of the trade, once: what a setting, a column of a hand-in, a chapter, the ledger and a page share.

Word          a word, how one of it and more are written, its unit, what else people write for it
LOG_RULES, GOALS, UNITS ...      the closed lists; each is a mapping from key to Word
UNITS_NOTED, noted_unit          units of the ledger, board feet by their rule
Takes, TAKES, kind_named         what a line of each kind of the ledger takes; the kind that somebody's word names
unit_word                        a unit in words; of some kinds pieces are trees
key_of, known, unknown           a word somebody wrote -> its key, or the one sentence on a word nobody knows
closest, nearest                 the word most like another; several of them

A list of such words stands here and nowhere else. Words that a table of the regions holds (species, covers, states,
products with their sizes) belong to the table.
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

from woodlot.errors import InputError

__all__ = ["Takes", "Word", "closest", "key_of", "kind_named", "known", "nearest", "noted_unit", "unknown"]


class Word(NamedTuple):
    """A word of the trade: its key, one and many as they are written, its unit, and what else means it."""

    key: str
    one: str
    many: str
    unit: str = ""
    also: tuple[str, ...] = ()


def _list(*words: Word | str) -> Mapping[str, Word]:
    """A closed list in its order; a bare word is written as its key."""
    whole = [word if isinstance(word, Word) else Word(word, word, word) for word in words]
    return MappingProxyType({word.key: word for word in whole})


#: Whether a range carries a level, is of assumptions, or is none.
RangeKind = Literal["interval", "assumptions", "none"]

#: Rules by which board feet are counted; two rules never mix in a sum.
LOG_RULES = _list(
    Word("international_quarter", "International 1/4-inch rule", "International 1/4-inch rule"),
    Word("international_eighth", "International 1/8-inch rule", "International 1/8-inch rule"),
    Word("scribner", "Scribner rule", "Scribner rule"),
    Word("doyle", "Doyle rule", "Doyle rule"),
)
QUARTER, EIGHTH = "international_quarter", "international_eighth"
#: Rules for which there are equations of whole trees.
TREE_RULES = ("international_quarter", "scribner", "doyle")

#: How a family counts trees near the edge of a stand: those whose reach goes past it twice (walk past the edge and
#: back), those beyond it too, from plots that all keep off it, or as anywhere else.
EDGES = _list(
    Word("counted twice", "counted twice", "counted twice", also=("counted_twice", "twice", "count twice", "walked")),
    Word(
        "trees beyond counted", "trees beyond counted", "trees beyond counted", also=("trees_beyond_counted", "beyond")
    ),
    Word("kept off", "kept off", "kept off", also=("kept_off", "plots kept off", "off the edge")),
    Word("nothing done", "nothing done", "nothing done", also=("nothing_done", "nothing", "none", "not walked")),
)
COUNTED_TWICE, BEYOND_COUNTED, KEPT_OFF, NOTHING_DONE = EDGES
#: What the plots of the next day are to narrow: the total of the place, the stands cut this winter, the widest range.
ANSWERS = _list(
    Word("total", "the total", "the total", also=("all", "the whole")),
    Word(
        "this winter", "this winter's cut", "this winter's cut", also=("this_winter", "winter", "this winter's stand")
    ),
    Word("worst range", "the widest range", "the widest range", also=("worst_range", "worst", "widest range")),
)
TOTAL, THIS_WINTER, WORST_RANGE = ANSWERS

#: What a family may wish of the herd.
GOALS = _list(
    "hold",
    Word("grow", "grow", "grow", also=("let grow", "more")),
    Word("thin", "thin", "thin", also=("bring down", "fewer", "less")),
)
#: What the family hunts with.
WEAPONS = _list("gun", "bow")
#: How deer choose what they eat, the best first, as stems of it are spoken of.
BROWSE = _list(
    Word("preferred", "what deer like best", "what deer like best"),
    Word("second", "their second choice", "their second choice"),
    Word("third", "their third choice", "their third choice"),
    Word("starvation", "what they eat when hungry", "what they eat when hungry"),
    Word("avoided", "what they avoid", "what they avoid"),
)
WINTERS = _list("mild", "average", "severe")
#: Whose measure of a winter it is, the surest first where one winter is told twice: Maine prints the share lost itself.
#: New Hampshire, New York and Vermont count days as Wisconsin does; Minnesota's points are the same before 2020.
WINTER_SCALES = _list(
    Word("maine", "percent lost as Maine prints it", "percent lost as Maine prints it", also=("me",)),
    Word(
        "wisconsin",
        "Wisconsin's points",
        "Wisconsin's points",
        also=("wi", "new hampshire", "nh", "new york", "ny", "vermont", "vt"),
    ),
    Word(
        "minnesota", "Minnesota's points", "Minnesota's points", also=("mn", "minnesota before 2020", "minnesota old")
    ),
    Word(
        "michigan",
        "days of snow 12 in. or more",
        "days of snow 12 in. or more",
        also=("mi", "upper michigan", "days of snow", "days of 12 in", "snow stake"),
    ),
)
#: The scale that is counted from a snow stake alone.
SNOW_ALONE = "michigan"
COUNTS = _list(
    "camera",
    "sighting",
    "tracks",
    Word("drive", "drive", "drives", also=("deer drive", "driven")),
    Word("snow walk", "snow walk", "snow walks", also=("snow_walk", "walk in snow", "snow count")),
)
#: Ways of counting every deer of some ground.
COMPLETE = ("drive", "snow walk")
#: Ways of counting in which bucks, does and fawns are told apart.
SEEN_DEER = ("camera", "sighting")

SEX_AGE = _list(
    Word("buck", "buck", "bucks"),
    Word("yearling buck", "yearling buck", "yearling bucks"),
    Word("buck fawn", "buck fawn", "buck fawns"),
    Word("doe", "doe", "does"),
    Word("yearling doe", "yearling doe", "yearling does"),
    Word("doe fawn", "doe fawn", "doe fawns"),
    Word("antlerless", "deer without antlers", "deer without antlers", also=("fawn", "no antlers", "antlerless deer")),
    Word("deer", "deer nobody could tell", "deer nobody could tell", also=("unknown", "not known", "could not tell")),
)
#: Grown deer, whose grounds differ.
GROWN = ("doe", "buck")
#: Deer of which nobody could tell more; they count as does, so that no doe too many is taken.
UNTOLD = ("antlerless", "deer")
UNKNOWN_DEER = UNTOLD[-1]
ANTLERED = ("buck", "yearling buck")
ANTLERLESS = ("doe", "yearling doe", "doe fawn", "buck fawn", *UNTOLD)
#: Deer of which milk tells something, and what it may be.
DOES = ("doe", "yearling doe")
MILK = _list(
    Word("milk", "with milk", "with milk", also=("yes", "y", "true", "x", "1", "wet", "lactating")),
    Word("dry", "without milk", "without milk", also=("no", "n", "false", "0", "none", "no milk")),
)
WITH_MILK, _ = MILK
#: Years that a deer of a class can be old in its season, from and to.
AGES_YR = MappingProxyType(
    {kind: (0.0, 1.0) if "fawn" in kind else (1.0, 2.0) if "yearling" in kind else (1.0, 25.0) for kind in SEX_AGE}
    | dict.fromkeys(UNTOLD, (0.0, 25.0))
)

#: What a family's own words in words.csv may speak of.
WORD_KINDS = _list("species", "cover", "heading", "quality")

#: Units of amounts in the ledger; board feet carry the rule by which they were scaled.
UNITS = _list(
    Word("cord", "cord", "cords", also=("cords",)),
    Word("cuft", "cubic foot", "cubic feet"),
    Word("cuyd", "cubic yard", "cubic yards"),
    Word("bdft", "board foot", "board feet"),
    Word("piece", "piece", "pieces", also=("pieces",)),
    Word("deer", "deer", "deer"),
    Word("lb", "pound", "pounds", also=("pounds",)),
    Word("build", "build", "builds", also=("builds",)),
    Word("gallon", "gallon", "gallons", also=("gallons", "gal")),
    Word("h", "hour", "hours", also=("hours", "hour", "hrs")),
    Word("ac", "acre", "acres", also=("acres",)),
    Word("in", "inch", "inches", also=("inches", "inch")),
    Word("f", "degree F", "degrees F", also=("degrees f", "degrees", "deg f", "fahrenheit")),
)
#: Units of weather alone, and that of which an amount may be below 0.
SNOW_AND_HEAT = ("in", "f")
DEGREES = SNOW_AND_HEAT[-1]
UNITS_NOTED = tuple(
    noted for unit in UNITS for noted in ([f"bdft_{rule}" for rule in LOG_RULES] if unit == "bdft" else [unit])
)

#: Units by which products.csv counts.
COUNTED_BY = ("bdft", "piece", "cuft")

#: What the ledger notes, each with its usual unit, in the order in which wood moves: firewood is wood cut, hauled wood
#: brought to the landing or home, stack wood stacked to dry, a measured stack what stands there by the tape, burned and
#: given wood that is gone. Other words are kept, and shown under their own name.
LEDGER_KINDS = _list(
    Word("firewood", "firewood", "firewood", "cord", ("cut", "felled")),
    Word("hauled", "hauled", "hauled", "cord", ("skidded", "brought home")),
    Word("split", "split", "split", "cord"),
    Word("stack", "stacked", "stacked", "cord", ("stacked",)),
    Word("measured stack", "measured stack", "measured stacks", "cord", ("stack measured",)),
    Word("burned", "burned", "burned", "cord", ("burnt",)),
    Word("given", "given away", "given away", "cord", ("given away", "gave away")),
    Word("sawlog", "sawlog", "sawlogs", "bdft"),
    Word("post", "post", "posts", "piece"),
    Word("pole", "pole", "poles", "piece"),
    Word("chips", "chips", "chips", "cuyd"),
    Word("built", "built", "built", "build"),
    Word("sap", "sap", "sap", "gallon"),
    Word("syrup", "syrup", "syrup", "gallon", ("maple syrup",)),
    Word("deer", "deer", "deer", "deer"),
    Word("work", "work", "work", "h"),
    Word("planted", "planted", "planted", "piece"),
    Word("sick trees", "sick trees", "sick trees", "piece", ("sick tree", "sick", "diseased trees", "diseased tree")),
    Word("weather", "weather", "weather", "in"),
    Word("boundary", "boundary", "boundary", also=("boundaries", "boundary line", "property line")),
    Word("photo", "photo", "photos", also=("photos", "picture", "pictures")),
    Word("seen", "seen", "seen", also=("saw", "sighted", "tracks")),
    Word(
        "new start",
        "new start of the deer record",
        "new starts of the deer record",
        also=("new_start", "start anew", "deer record anew"),
    ),
    Word("void", "void", "void"),
)
#: Kinds that are of the sugarbush.
SAP_KINDS = ("sap", "syrup")
#: Kinds that the forms offer, the commonest first.
FORM_KINDS = (
    "firewood", "hauled", "split", "stack", "burned", "deer", "seen", "sick trees", "planted", "weather", "boundary",
    "work", "measured stack", "sawlog", "post", "pole", "sap",
)  # fmt: skip
#: Kinds that speak of neither wood nor trees; all others do.
_OTHER_KINDS = ("deer", "weather", "boundary", "photo", "seen", "new start", "void")
WOOD_KINDS = tuple(kind for kind in LEDGER_KINDS if kind not in _OTHER_KINDS)
#: Kinds whose cords are firewood on its way, in the order of the way; kinds whose cords are gone.
DRYING_KINDS = ("firewood", "hauled", "split", "stack", "measured stack")
GONE_KINDS = ("burned", "given")
#: Round pieces, and kinds whose wood was felled in a stand.
ROUND_KINDS = ("post", "pole")
FELLED_KINDS = ("firewood", "sawlog", *ROUND_KINDS)
#: Kinds of which a line without an amount is one, and kinds that are words and no amount.
ONE_EACH = ("deer", "built")
#: Kinds of which a size by the tape may be told instead of cords.
STACKED_KINDS = ("stack", "measured stack")
WORDS_ALONE = ("sick trees", "weather", "boundary", "photo", "seen", "new start", "void")

#: Kinds whose pieces are trees that stand.
TREE_KINDS = ("planted", "sick trees")
_TREES = Word("piece", "tree", "trees")

#: What a line of sick trees says of them in its words, weather of what came, a boundary of what was done at it; a line
#: that says none of these keeps its own words. Each of them names its kind as well: a note of an ice storm is weather.
SICK = _list(
    Word("dead trees", "dead trees", "dead trees", also=("dead tree", "trees died", "tree died")),
    Word("dying trees", "dying trees", "dying trees", also=("dying tree", "trees dying", "tree dying")),
)
WEATHER = _list(
    Word("storm", "a storm", "storms", also=("windstorm", "wind storm", "storms", "gale", "blowdown", "tornado")),
    Word("ice", "ice", "ice", also=("ice storm", "freezing rain", "glaze")),
    Word("first snow", "first snow", "first snow"),
    Word("deep snow", "snow", "snow", also=("snow depth", "snow stake", "heavy snow", "snow")),
    Word("late frost", "a late frost", "late frosts", also=("spring frost", "frost in spring", "frost")),
    Word("drought", "drought", "drought", also=("dry spell", "dry summer")),
    Word("flood", "high water", "high water", also=("flooded", "high water")),
    Word("hail", "hail", "hail", also=("hailstorm",)),
)
#: Weather that breaks and throws trees.
BREAKS_TREES = ("storm", "ice")
BOUNDARY = _list(
    Word(
        "corner missing",
        "corner missing",
        "corners missing",
        also=("missing corner", "corner gone", "corner lost", "corner not found"),
    ),
    Word("corner found", "corner found", "corners found", also=("found corner", "found the corner", "corner there")),
    Word(
        "blazed",
        "blazed",
        "blazed",
        also=("blazed the line", "line blazed", "blazed line", "painted the line", "line painted", "marked the line"),
    ),
    Word(
        "walked",
        "walked",
        "walked",
        also=("walked the line", "walked the lines", "line walked", "lines walked", "walked line", "walked lines"),
    ),
)
CORNER_MISSING = next(iter(BOUNDARY))


class Takes(NamedTuple):
    """What a line of a kind takes beside day, place, who, words and photo: columns that it must and may have, units it
    is told in (none: any but those of weather), and the words that it says.
    """

    must: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    words: Mapping[str, Word] = MappingProxyType({})


_much = ("amount", "unit")
_wood = (*_much, "species", "job")
#: Kind -> what it takes; a kind that is not of the list takes what it likes.
TAKES = MappingProxyType(
    dict.fromkeys((*FELLED_KINDS, *DRYING_KINDS, *GONE_KINDS), Takes(may=_wood))
    | dict.fromkeys(("chips", "built", *SAP_KINDS, "work"), Takes(may=_much))
    | {
        "measured stack": Takes(("amount",), _wood[1:]),
        "deer": Takes(("sex_age",), (*_much, "age_yr", "dressed_lb", "milk")),
        "planted": Takes((), (*_much, "species"), ("piece", "ac")),
        "sick trees": Takes((), (*_much, "species"), ("piece", "ac"), SICK),
        "weather": Takes(("text",), _much, SNOW_AND_HEAT, WEATHER),
        "boundary": Takes(words=BOUNDARY),
        "photo": Takes(("photo",)),
        "seen": Takes(may=(*_much, "species", "sex_age")),
        "new start": Takes(),
        "void": Takes(("corrects",)),
    }
)

#: Lines of a household's list, each with what its number counts.
PRODUCTS = _list(
    Word("post", "post", "posts", "pieces", ("posts",)),
    Word("pole", "pole", "poles", "pieces", ("poles",)),
    Word("sawlog", "sawlog", "sawlogs", "pieces", ("sawlogs",)),
    Word("board feet", "board feet", "sawn board feet", "board feet"),
    Word("firewood", "firewood", "firewood", "full cords"),
    Word("chips", "chips", "chips", "cubic yards", ("chip",)),
)
#: Lines that are cut stem by stem to a size; lines that are sawn; lines without a size.
SIZED = ("post", "pole", "sawlog", "board feet")
SAWN = ("sawlog", "board feet")
LOOSE = ("firewood", "chips")
SIZED_PRODUCTS = MappingProxyType({key: PRODUCTS[key] for key in SIZED})
#: Pieces of a stem that is cut up, as products.csv calls them.
PIECES = _list("sawlog", "pole", "post", "bolt")
#: Woods that a product may ask for, beside names of trees, each as it stands behind the product on a list.
WOODS = _list(
    Word("any", ", any wood", ", any wood"),
    Word("lasting", ", lasting wood", ", lasting wood"),
    Word("hot", " that burns hot", " that burns hot"),
    Word("hardwood", " of hardwood", " of hardwood"),
    Word("softwood", " of softwood", " of softwood"),
)
BOTH_WOODS = ("hardwood", "softwood")
#: How often a thing is wanted, and products that a house uses up each year where nobody says so.
OFTEN = _list("once", Word("each year", "each year", "each year", also=("yearly", "every year", "a year")))
USED_UP = ("firewood", "chips")
#: How straight a piece of a build has to be, each with what may bow by how much (defaults_needs.csv).
STRAIGHT = _list("post", "pole", "beam", "log")
#: The same of a product where nobody says.
STRAIGHT_OF = MappingProxyType({"post": "post", "pole": "pole", "sawlog": "beam"})

PLOT_KINDS = _list("prism", Word("fixed", "fixed circle", "fixed circles"))
#: How a stand's numbers were got.
CASES = _list("measured", "few plots", "one plot", "empty plots", "none", "borrowed")
MEASURED = tuple(CASES)[:4]
#: The same by plots, the fewest first, until there are enough.
FEW_TO_ENOUGH = ("none", "empty plots", "one plot", "few plots")
#: Cases whose name says why a range is missing or wide; the same with those that have few plots; cases without a plot.
ONE_OR_EMPTY = ("one plot", "empty plots")
THIN = ("one plot", "few plots", "empty plots")
UNMEASURED = ("none", "borrowed")
TO_MEASURE = (*UNMEASURED, "one plot")
#: The rule of a stand -> what it leaves for deer to browse, where it is cut at all.
WAYS = _list("thin", "patches")
CUTS = _list("none", "selection", "clearcut")
CUT_OF_WAY = MappingProxyType({"thin": "selection", "patches": "clearcut"})
#: How a stack lies.
COVERINGS = _list("covered", "open")

#: What a family may wish of a stand, a parcel or a shape of its own; of several for one stand the first one rules.
WISHES = _list(
    Word(
        "never cut",
        "never cut",
        "never cut",
        also=(
            "never",
            "never_cut",
            "no cut",
            "no cutting",
            "do not cut",
            "don't cut",
            "leave alone",
            "uncut",
            "reserve",
        ),
    ),
    Word(
        "keep",
        "kept",
        "kept",
        also=("keep until", "keep till", "keep for now", "keep for a year", "wait", "not yet", "later"),
    ),
    Word("cut first", "cut first", "cut first", also=("cut_first", "first", "cut next", "cut soon")),
    Word("sugarbush", "sugarbush", "sugarbush", also=("sugar bush", "sap bush", "maple bush", "sugarwoods", "syrup")),
    Word("view", "view", "view", also=("scenic", "scenery", "the view", "keep the view")),
    Word(
        "leave dead trees",
        "dead trees left",
        "dead trees left",
        also=("leave_dead_trees", "dead trees", "leave snags", "keep snags", "snags", "keep dead trees", "den trees"),
    ),
)
NEVER_CUT, KEEP, CUT_FIRST, SUGARBUSH, VIEW, LEAVE_DEAD = WISHES
#: Wishes under which nothing is cut at all, and those that cannot stand beside them.
SHUT = (NEVER_CUT, KEEP)
NOT_SHUT = (CUT_FIRST,)

FEATURES = _list("stream", "lake", "home_ground", "road", "landing", "deer_stand", *WISHES.values(), "other")
OPEN_WATER = ("stream", "lake")
#: What the map draws beside the family's features: plots still to be measured, and the way to them.
PLOT_TO_PUT, WALK = "plot_to_measure", "walk"
ROADS = ("road", "landing")
NOT_WOODS = ("home_ground", "lake", "stream")
#: Classes of water in the states' rules.
WATERS = _list(
    "stream over 10 ft",
    "stream 3 to 10 ft",
    "stream under 3 ft",
    "intermittent under 3 ft",
    "lake 10 ac and larger",
    "lake under 10 ac",
    "trout water",
)
#: Streams by their width, the narrowest first.
NARROW_STREAMS = ("intermittent under 3 ft", "stream under 3 ft", "stream 3 to 10 ft")
LAKES = ("lake 10 ac and larger", "lake under 10 ac")
#: By what the growth of a cover is worked: published figures of each kind, equations fitted to remeasured trees, and
#: for stands of one age the equations of pine and of aspen.
GROWTHS = _list(
    Word("published", "published growth, kind by kind", ""),
    Word("remeasured", "equations fitted to remeasured stands", ""),
    Word("pine", "the growth equation of pine", ""),
    Word("aspen", "the stocking of full aspen", ""),
)
EVEN_AGED = ("pine", "aspen")
#: Guides to how full a stand of a cover is.
GUIDES = _list("relative density", "oak lines")
#: What stands for the cover of a stand nobody has named.
NO_COVER = "cover not known"

#: What families call things for which a column has its own word.
MEANT = {
    "creek": "stream",
    "brook": "stream",
    "river": "stream",
    "pond": "lake",
    "house": "home_ground",
    "home": "home_ground",
    "yard": "home_ground",
    "trail": "road",
    "blind": "deer_stand",
    "treestand": "deer_stand",
    "trail_cam": "camera",
    "trail_camera": "camera",
    "cam": "camera",
    "seen": "sighting",
    "track": "tracks",
    "male": "buck",
    "female": "doe",
    "button_buck": "buck fawn",
    "variable": "prism",
    "bitterlich": "prism",
    "circle": "fixed",
}

#: What a family may ask of its plan: what if it, or the years, were otherwise.
WHAT_IFS = _list(
    Word("less-firewood", "less firewood", "less firewood", also=("less firewood", "less wood", "less-wood")),
    Word("more-firewood", "more firewood", "more firewood", also=("more firewood", "more wood", "more-wood")),
    Word("ash-gone", "ash gone", "ash gone", also=("ash gone", "no ash", "no-ash", "borer")),
    Word("browse-unchecked", "deer unchecked", "deer unchecked", also=("browse unchecked", "more deer", "more-deer")),
    Word("deer-fenced", "deer fenced out", "deer fenced out", also=("deer fenced", "fence", "fenced")),
    Word("dry-decade", "dry decade", "dry decade", also=("dry decade", "drought", "dry")),
    Word("windstorm", "windstorm", "windstorm", also=("storm", "wind", "blowdown")),
)
LESS_FIREWOOD, MORE_FIREWOOD, ASH_GONE, UNCHECKED, FENCED, DRY_DECADE, WINDSTORM = WHAT_IFS

#: Marks of a figure: how it came into its table, the best founded first.
SEEN = _list("read", "read 2nd-hand", "derived", "memory", "chosen")
#: Marks of figures that stand on nothing that was read.
NOT_READ = ("chosen", "memory")
PAPERS = _list("letter", Word("a4", "A4", "A4"))


def noted_unit(unit: str, log_rule: str) -> str:
    """A unit as the ledger notes it: board feet by their rule, every other as it is."""
    return f"bdft_{log_rule}" if unit == "bdft" else unit


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


def unit_word(unit: str, kind: str = "") -> Word | None:
    """A unit in words; pieces that a line of some kind counts are trees.

    >>> unit_word("piece", "planted").many, unit_word("piece", "post").many, unit_word("bushel")
    ('trees', 'pieces', None)
    """
    return _TREES if unit == "piece" and kind in TREE_KINDS else UNITS.get(unit)


def key_of(text: str, words: Mapping[str, Word]) -> str:
    """The key that somebody's word means; the word itself, in lower case, when no key is meant.

    >>> key_of(" Fewer", GOALS), key_of("fever", GOALS)
    ('thin', 'fever')
    """
    plain = _plain(text)
    return next((word.key for word in words.values() if plain in (word.key, *word.also)), plain)


def kind_named(text: str) -> tuple[str, str]:
    """The kind of a line that somebody's word names, and the word where the line has to say it too.

    >>> kind_named("Felled"), kind_named("Ice storm"), kind_named("bees")
    (('firewood', ''), ('weather', 'ice storm'), ('bees', ''))
    """
    kind, plain = key_of(text, LEDGER_KINDS), _plain(text)
    if kind in LEDGER_KINDS:
        return kind, ""
    of = next((kind for kind, takes in TAKES.items() if key_of(plain, takes.words) in takes.words), "")
    return (of, plain) if of else (kind, "")


def nearest(text: str, names: Iterable[str], most: int, cutoff: float = 0.6) -> list[str]:
    """Names like a word, the most like it first, of two as like the first; capitals do not matter.

    >>> nearest("defaults_grouhh", ["defaults_growth", "defaults_ground", "sources"], 2)
    ['defaults_ground', 'defaults_growth']
    """
    from rapidfuzz import fuzz, process

    least = 100.0 * cutoff
    found = process.extract(
        text[:80], list(names), scorer=fuzz.ratio, processor=str.lower, limit=most, score_cutoff=least
    )
    return [name for name, _, _ in found]


def closest(text: str, names: Iterable[str], cutoff: float = 0.6) -> str:
    """The name most like a word, "" when none comes near."""
    return next(iter(nearest(text, names, 1, cutoff)), "")


#: Begins the sentence on a word nobody knows.
MUST = "Must be"


def unknown(text: str, words: Iterable[str], cutoff: float = 0.6) -> str:
    """The sentence on a word that is none of a list: which there are, and which was perhaps meant.

    words: a closed list of this file, or the names a table holds.

    >>> unknown("scribbner", LOG_RULES)
    'Must be international_quarter, international_eighth, scribner or doyle. Did you mean scribner?'
    """
    names = list(words)
    full = words.values() if isinstance(words, Mapping) else ()
    ways = names + [also for word in full if isinstance(word, Word) for also in word.also]
    near = MEANT.get("_".join(_plain(text).replace("-", " ").split()), "")
    near = near if near in names else closest(text, ways, cutoff)
    listed = f"{', '.join(names[:-1])} or {names[-1]}" if len(names) > 1 else "".join(names)
    return f"{MUST} {listed}." + (f" Did you mean {near}?" if near else "")


def known(text: str, words: Mapping[str, Word], what: str) -> str:
    """The key of a word; InputError with ``unknown``'s sentence when it is none of the list."""
    key = key_of(text, words)
    if key not in words:
        raise InputError(f"{what} {text!r}: {unknown(text, words)}")
    return key
