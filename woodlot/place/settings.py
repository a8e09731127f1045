"""place.toml: what may stand in it, declared like the columns of the tables, and how it is read."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Annotated, Any, get_args

from pydantic import AfterValidator, BeforeValidator, ValidationError
from pydantic.fields import FieldInfo

from woodlot import trade
from woodlot.column_kinds import Among, Day, Row, Text, YesNo, cell_type, column, unit_of
from woodlot.deer.options import DeerSettings
from woodlot.errors import Fault, InputError, TableError
from woodlot.place.lists import LISTS, Lists, Piece, names_of_trees
from woodlot.place.own_region import check
from woodlot.place.place_toml import FILE, read_toml_of
from woodlot.place.remedies import cell_remedy, short
from woodlot.place.settings_together import beside_each_other, once_without_day, set_aside, what_wood
from woodlot.region import Region, names, open_region, read_toml, shipped
from woodlot.say.words import capital
from woodlot.trade import closest

__all__ = ["SETTINGS", "Settings", "read_settings"]


def _plain(value: Any) -> Any:
    return value.strip().lower() if isinstance(value, str) else value


def _one_or_more(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


def _rising(breaks: list[float]) -> list[float]:
    if len(breaks) != 3 or not 0 < breaks[0] < breaks[1] < breaks[2]:
        raise ValueError("Must be three rising numbers, such as [13, 18, 24].")
    return breaks


class Home(Row):
    """Where the family lives; distances are measured from here."""

    lon: float | None = column("longitude, negative in America", "degrees", -180, 180)
    lat: float | None = column("latitude", "degrees", -90, 90)


class Choices(Row):
    """How amounts are counted and how wide ranges are. Left out: the region's choice."""

    log_rule: Annotated[str, Among(trade.LOG_RULES)] | None = column("log rule for board feet")
    solid_cuft_per_cord: float | None = column("solid wood in a cord, without bark", "cu ft", 50, 110)
    level: float | None = column("how often a range should hold the truth", "", 0.5, 0.99)
    division: (
        Annotated[Text, BeforeValidator(lambda number: str(number) if isinstance(number, int) else number)] | None
    ) = column("ecological division of the volume equations")
    form_class: float | None = column("diameter of trees at 17.3 ft inside bark over dbh", "%", 50, 100)
    state: Annotated[str, BeforeValidator(_plain)] | None = column(
        "state whose strips along water are kept, and whose rule counts daily winter weather"
    )
    burn_logs: bool | None = column("whether logs go to the stove too; left out: to the pile")
    woodpile_teaches: bool | None = column(
        "whether stacks that are noted with --job teach the volume table and the cord; left out: they do"
    )
    cord_breaks: Annotated[list[float], AfterValidator(_rising)] | None = column(
        "cords an acre at which the map changes its shade", "cord/ac"
    )


class Needs(Row):
    """What the household wants: heat, chips and venison each year, posts, poles, sawlogs and pieces once."""

    firewood_cord: float | None = column("full cords burned in a winter", "cord", 0, 200)
    firewood_of: Annotated[Text, AfterValidator(names_of_trees)] | None = column(
        "of what wood these cords are: names of trees with ; between them"
    )
    heat_mmbtu: float | None = column("gross heat of the wood burned in a winter", "million Btu", 0, 5_000)
    firewood_low_cord: float | None = column("the same in a mild winter", "cord", 0, 200)
    firewood_high_cord: float | None = column("the same in a hard winter", "cord", 0, 200)
    firewood_hot_cord: float | None = column("of all firewood, wood that burns hot", "cord", 0, 200)
    dry_cord: float | None = column("full cords split and dry already", "cord", 0, 200)
    dry_on: Day | None = column("day they were counted; left out: before this winter's first fire")
    pieces: list[Piece] | None = column("other things with their sizes, a part [[needs.pieces]] for each")
    house_loss_btu_per_h_f: float | None = column("heat the house loses", "Btu an hour a degree F", 20, 10_000)
    degree_days_f: float | None = column("heating degree-days of a year, base 65 F", "F-days", 100, 20_000)
    oil_gal: float | None = column("heating oil burned in a year without wood", "gallons", 0, 20_000)
    propane_gal: float | None = column("propane burned in a year without wood", "gallons", 0, 20_000)
    electric_kwh: float | None = column("electric heat used in a year without wood", "kWh", 0, 200_000)
    burned_cord: float | None = column("full cords burned so far this season", "cord", 0, 200)
    season_gone_pct: float | None = column("share of the season's degree-days gone by then", "%", 1, 100)
    stove_pct: float | None = column("heat of the stove as share of gross heat", "%", 5, 95)
    sawlogs: float | None = column("sawlogs", "pieces", 0, 10_000)
    sawlogs_bdft: float | None = column("sawlogs, by the log rule chosen", "bd ft", 0, 1_000_000)
    posts: float | None = column("posts, of a wood that lasts in the ground", "pieces", 0, 10_000)
    poles: float | None = column("poles", "pieces", 0, 10_000)
    chips_cuyd: float | None = column("chips", "cu yd", 0, 10_000)
    chip_stems: bool | None = column("true where stems may be chipped too, and not limbs and tops alone")
    meat_lb: float | None = column("boned venison", "lb", 0, 10_000)
    clear: Annotated[list[Text], BeforeValidator(_one_or_more)] | None = column(
        "marks in tally.csv of ground to be cleared: every tree of them falls"
    )


class Limits(Row):
    """What the family can do, and what the state allows them."""

    days_of_work_per_yr: float | None = column("days in the woods in a year", "d", 0, 366)
    tags_buck: float | None = column("buck tags in the family", "deer", 0, 100)
    tags_doe: float | None = column("doe tags in the family", "deer", 0, 100)


class Cruise(Row):
    """How plots are put and counted, and what the next ones are for."""

    edges: Annotated[str, Among(trade.EDGES)] | None = column(
        "how trees near the edge of a stand are counted; left out: not known, unless a tree was counted twice"
    )
    answer: Annotated[str, Among(trade.ANSWERS)] | None = column("what the next plots are to narrow")
    hours: float | None = column("hours in the woods for the next plots", "hours", 0.5, 100)
    within_pct: float | None = column("how near the truth that answer is to come, each way", "%", 1, 100)


class RastersAtPlots(Row):
    """What a picture from above and the plots have to do with each other; asked where it could help."""

    use: YesNo | None = column("false where plots are to be read without the raster of tree heights")
    canopy_year: int | None = column("year in which the heights of the trees were measured from above", "", 1980, 2100)
    positions_ft: float | None = column("how far off a plot may lie on the map", "ft", 0, 1_000)
    by_picture: YesNo | None = column("true where plots were put where the picture showed something; else false")


SETTINGS: dict[str, type[Row]] = {
    "home": Home,
    "choices": Choices,
    "needs": Needs,
    "deer": DeerSettings,
    "limits": Limits,
    "cruise": Cruise,
    "rasters_at_plots": RastersAtPlots,
}


@dataclass(frozen=True)
class Settings:
    """What place.toml says, with the region's choices filled in; whole: nothing in it was a fault."""

    name: str
    region: Region
    home: tuple[float, float] | None
    choices: dict[str, Any]
    needs: dict[str, Any]
    deer: DeerSettings
    limits: dict[str, Any]
    cruise: dict[str, Any]
    rasters_at_plots: dict[str, Any]
    wants: list[dict[str, Any]]
    builds: list[dict[str, Any]]
    leave: list[dict[str, Any]]
    prisms: list[dict[str, Any]]
    group: list[dict[str, Any]]
    whole: bool


def read_settings(folder: Path, region: str | None, faults: list[Fault], notes: list[str]) -> Settings:
    """Read place.toml; ``region`` given takes the place of the one it names. Faults are appended."""
    before = len(faults)
    written = read_toml_of(folder, faults)
    _strange_keys(written, ["name", "region", *SETTINGS, *LISTS], "", faults, notes)
    home_region = _region(folder, region or _word(written, "region", faults), faults, notes)
    parts = {}
    for part, model in SETTINGS.items():
        values = written.get(part, {})
        if not isinstance(values, dict):
            faults.append(_fault(part, str(values), f"Must be a part of its own: a line [{part}]."))
            values = {}
        parts[part] = _part(part, model, values, home_region, faults, notes)
    listed = {part: written[part] for part in LISTS if part in written}
    lists = _part("", Lists, listed, home_region, faults, notes)
    name = _word(written, "name", faults) or folder.resolve().name
    home = parts["home"]
    at = (home["lon"], home["lat"]) if {"lon", "lat"} <= set(home) else None
    point = written.get("home")
    if isinstance(point, dict) and len({"lon", "lat"} & set(point)) == 1:
        missing = "lat" if "lon" in point else "lon"
        faults.append(_fault(f"home.{missing}", "missing", "The home point needs lon and lat, or neither."))
    choices = {topic: home_region.choice(topic) for topic in home_region.choices} | parts["choices"]
    _known_division(choices["division"], faults, home_region)
    if "state" in choices:
        _known_state(choices["state"], home_region, faults)
    faults += [_fault(*wrong) for wrong in beside_each_other(written, parts)]
    solid = float(choices["solid_cuft_per_cord"])
    remarks = [*set_aside(parts["needs"]), *what_wood(parts["needs"], solid, region=home_region)]
    notes += [f"{FILE}: {words}" for words in (*remarks, *once_without_day(parts["needs"], lists))]
    return Settings(
        name=name,
        region=home_region,
        home=at,
        choices=choices,
        needs=parts["needs"],
        deer=DeerSettings(**parts["deer"]),
        limits=parts["limits"],
        cruise=parts["cruise"],
        rasters_at_plots=parts["rasters_at_plots"],
        wants=lists.get("wants", []),
        builds=lists.get("builds", []),
        leave=lists.get("leave", []),
        prisms=lists.get("prism", []),
        group=lists.get("group", []),
        whole=len(faults) == before,
    )


def _fault(key: str, found: str, remedy: str) -> Fault:
    return Fault(FILE, None, key, short(found), remedy)


def _known_division(division: str, faults: list[Fault], region: Region) -> None:
    """A fault where the equations have no row for a division."""
    from woodlot.tree.rows import division_name

    try:
        division_name(division, region=region)
    except InputError as error:
        remedy = str(error).partition("; ")[2]
        faults.append(_fault("choices.division", division or "empty", f"{capital(remedy)}."))


def _known_state(state: str, region: Region, faults: list[Fault]) -> None:
    """A fault where the tables have no strips along water for a state."""
    there = list(dict.fromkeys(region.table("water_strips")["state"]))
    if state not in there:
        faults.append(_fault("choices.state", state or "empty", trade.unknown(state, there)))


def _word(written: Mapping[str, Any], key: str, faults: list[Fault]) -> str:
    value = written.get(key, "")
    if not isinstance(value, str) or not value.strip():
        what = "missing" if key not in written else str(value) or "empty"
        faults.append(_fault(key, what, f'Write it between quotation marks:  {key} = "..."'))
        return ""
    return value.strip()


def _region(folder: Path, name: str, faults: list[Fault], notes: list[str]) -> Region:
    """A region that exists, the family's own checked; else the one it is based on, or "base", with faults."""
    before = len(faults)
    if not name:
        return shipped("base")
    try:
        if Path(name).name != name:
            raise TableError("a region's name is a word")
        region = open_region(name, folder.resolve())
        check(region, faults)
        _region_choices(region, faults, notes)
    except TableError as error:
        near = closest(name, names())
        there = f"There are {', '.join(names())}." + (f" Did you mean {near}?" if near else "")
        own = (folder / name / "region.toml").is_file()
        faults.append(_fault("region", name, short(str(error), 200) if own else there))
    except (OSError, ValueError, TypeError) as error:
        faults.append(_fault("region", name, f"Its region.toml cannot be read: {short(str(error), 120)}"))
    else:
        return region if len(faults) == before else region.as_shipped()
    return shipped("base")


def _region_choices(region: Region, faults: list[Fault], notes: list[str]) -> None:
    """Faults of what the family's own region.toml chooses: the same rules as in place.toml."""
    for folder in region.own_folders:
        own, wrong = read_toml(folder).get("choices", {}), list[Fault]()
        _part("choices", Choices, own, region, wrong, notes)
        unread = [key for key in own if key not in Choices.model_fields]
        wrong += [_fault(f"choices.{key}", "not known", "Nothing reads it: take it out.") for key in unread]
        faults += [replace(one, file=f"{folder.name}/region.toml") for one in wrong]


def _strange_keys(
    written: Mapping[str, Any], known: list[str], part: str, faults: list[Fault], notes: list[str]
) -> None:
    """A key that is nearly a known one is a slip and a fault; any other is remarked on and not read."""
    for key in [key for key in written if key not in known]:
        where = f"{part}.{key}" if part else key
        if near := closest(key, [name for name in known if name not in written], 0.75):
            faults.append(_fault(short(where), "not known", f"Did you mean {near}?"))
        else:
            notes.append(f"{FILE}: {short(where)} is not known and was not read.")


def _spot(loc: tuple[int | str, ...]) -> str:
    """Where in a part a fault lies: a key, or key, which one of its list, key in it."""
    return ", ".join(f"number {step + 1}" if isinstance(step, int) else str(step) for step in loc)


def _remedy(part: str, field: FieldInfo, error: dict[str, Any]) -> tuple[str, str]:
    """What stands in a key, or in a key of an entry of its list, and the sentence on it."""
    text, (key, *deeper) = str(error.get("input")), error["loc"]
    entry = next((of for of in get_args(cell_type(field)[1]) if isinstance(of, type) and issubclass(of, Row)), None)
    if entry is not None and error["type"] == "list_type":
        name = ".".join(filter(None, (part, str(key))))
        return text, f"May stand more than once: write it in two brackets, [[{name}]]."
    if entry is not None and len(deeper) > 1:
        name = str(deeper[1])
        if error["type"] == "extra_forbidden":
            near = closest(name, entry.model_fields)
            return "not known", f"Did you mean {near}?" if near else f"There are {', '.join(entry.model_fields)}."
        if error["type"] == "missing":
            return "missing", "Write it: an entry needs it."
        field = entry.model_fields[name]
    if isinstance(written := error.get("input"), dict):
        text = ", ".join(f"{name} = {value}" for name, value in written.items())
    kind = cell_type(field)[1]
    if kind not in (str, int, float, date, bool) and error["type"] != "literal_error":
        return text, error["msg"].removeprefix("Value error, ")
    return text, cell_remedy(text, error, kind, unit_of(field)).removeprefix("Value error, ")


def _part(
    part: str, model: type[Row], values: dict[str, Any], region: Region, faults: list[Fault], notes: list[str]
) -> dict[str, Any]:
    """The keys of one part that were given (and the part's defaults), checked."""
    fields = model.model_fields
    _strange_keys(values, list(fields), part, faults, notes)
    known = {key: value for key, value in values.items() if key in fields}
    try:
        good = model.model_validate(known, context={"region": region})
    except ValidationError as wrong:
        for error in wrong.errors(include_url=False):
            key = str(error["loc"][0])
            text, remedy = _remedy(part, fields[key], dict(error))
            spot = ".".join(filter(None, (part, _spot(error["loc"]))))
            fault = _fault(spot, text, remedy)
            if fault not in faults:
                faults.append(fault)
            known.pop(key, None)
        good = model.model_validate(known, context={"region": region})
    return {key: value for key, value in good.model_dump().items() if value is not None}
