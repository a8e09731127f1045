"""Does a family's own table act? Each table in turn stands in a region of their own with other numbers or words.

    python tests/trials/region_overrides.py [TABLE ...]

For each table the verbs that read it are asked, on the sample and on places that use what the sample does not, until an
answer moves or the reading refuses the table. Prints table, where it moved, and by what; the last line counts.
"""

import json
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.region import MARKS, keys, known_tables, reading, shipped

SAMPLES = Path(__file__).parents[2] / "sample_parcels"
DAY = "2026-11-25"
BASED_ON = "lake_states"
#: By how much numbers are changed: a little, and where a limit is not reached so, by more.
FACTORS = (1.07, 1.6, 0.5)
#: Numbers that name something: multiplied they would name another thing, or nothing.
CODES = {"model", "order", "rank", "code", "jenkins_group", "month", "first_month", "last_month", "codes", "d_squared"}
CODES |= {"years_from", "years_to", "n_trees"}
#: Tables that move nothing on the plain sample: they are read where a place has what the other kinds have.
RARE = {"defaults_firewood", "deer_winter_rules", "defaults_heating", "divisions_westfall_2024", "drying_rates"}
RARE |= {"cover_words", "emc_simpson_1998", "fuels", "stocking_upper_lines", "stump_raile_1982_groups"}
RARE |= {"defaults_sugarbush", "sugarbush_species", "sugarbush_taps", "site_growth", "soil_words"}
#: Tables that only files on their way in need, which no verb here brings (tests/bring has their trial).
BROUGHT = {"heading_words"}
#: Tables of which only the keys act: what they name may be chosen.
NAMES = {"divisions_westfall_2024"}
#: Tables whose words name rows of another table: each row gets those of the one before.
OF_OTHERS = {"species_words": "kind", "soil_words": "soil"}
VERBS = ("cruise", "scale", "grow", "cut", "fell", "herd", "hunt", "walk", "what-if")
WHY = ("cords", "bdft", "basal", "cut", "heat", "deer", "take", "builds")


def others(rows: pd.DataFrame, topic: str) -> Iterator[tuple[str, pd.DataFrame]]:
    """The table with other numbers, then with other words in one column at a time: what was changed, and the table."""
    free = [c for c in rows.columns if c not in (*MARKS, *keys(topic), *CODES)]
    numbers = [c for c in free if pd.api.types.is_numeric_dtype(rows[c]) and not pd.api.types.is_bool_dtype(rows[c])]
    for factor in FACTORS if numbers else ():
        more = {c: rows[c] * factor for c in numbers}
        yield f"x {factor}", rows.assign(**{c: v.clip(upper=1.0) if "share" in c else v for c, v in more.items()})
    if topic in OF_OTHERS:
        column = OF_OTHERS[topic]
        yield f"{column} of the row before", rows.assign(**{column: np.roll(rows[column], 1)})
    for column in [c for c in reversed(free) if c not in numbers]:
        yield column, rows.assign(**{column: rows[column].fillna("").astype(str) + " (ours)"})
    if topic in NAMES:
        yield "a row more", pd.concat([rows, rows.tail(1).assign(**{keys(topic)[0]: "OURS"})])


def asked() -> list[list[str]]:
    """Command lines whose answers are compared, the quick ones first."""
    return [[verb] for verb in VERBS] + [["why", what] for what in WHY] + [["plan"]]


def ask(home: Path, line: list[str]) -> str:
    """What a verb answers as JSON, or its refusal."""
    verb, *more = line
    done = CliRunner().invoke(main, [verb, *more, str(home), "--json", "--as-of", DAY])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        return f"CRASHED: {done.exception!r}"
    return done.stdout if done.exit_code == 0 else f"refused: {done.stderr or done.output}"


def _set(home: Path, **told: str) -> None:
    """Put keys of place.toml to other values; a key that is not there is written under its part (part__key)."""
    text = (home / "place.toml").read_text(encoding="utf-8")
    for name, value in told.items():
        part, _, key = name.rpartition("__")
        line = f"{key} = {value}"
        if re.search(rf"(?m)^{key} *=.*$", text):
            text = re.sub(rf"(?m)^{key} *=.*$", line, text)
        elif part and f"[{part}]" in text:
            text = text.replace(f"[{part}]", f"[{part}]\n{line}")
        else:
            text = f"{line}\n{text}" if not part else f"{text}\n[{part}]\n{line}\n"
    (home / "place.toml").write_text(text, encoding="utf-8")


def place(kind: str, folder: Path) -> Path:
    """A place that uses what its name says."""
    home = folder / kind
    shutil.copytree(SAMPLES / "otter_lake", home, ignore=shutil.ignore_patterns("out"))
    if kind in ("doyle", "scribner", "international_eighth"):
        _set(home, log_rule=f'"{kind}"')
    elif kind == "division":
        _set(home, division='"OURS"')
    elif kind == "trees":
        rows = (home / "trees.csv").read_text(encoding="utf-8")
        rows = rows.replace("sugar maple", "eastern white pine").replace("red maple", "black maple")
        (home / "trees.csv").write_text(rows, encoding="utf-8")
    elif kind == "covers":
        drawn = (home / "stands.geojson").read_text(encoding="utf-8")
        (home / "stands.geojson").write_text(drawn.replace('"oak"', '"scrub oak"'), encoding="utf-8")
    elif kind == "sugarbush":
        drawn = (home / "stands.geojson").read_text(encoding="utf-8")
        drawn = drawn.replace('"stand_id": "7",', '"stand_id": "7", "wish": "sugarbush",')
        (home / "stands.geojson").write_text(drawn, encoding="utf-8")
    elif kind == "soil":
        drawn = (home / "stands.geojson").read_text(encoding="utf-8")
        drawn = drawn.replace('"stand_id": "4",', '"stand_id": "4", "soil": "blueberry",')
        (home / "stands.geojson").write_text(drawn, encoding="utf-8")
    elif kind == "stacked":
        note = ["note", str(home), "--kind", "stack", "--amount", "3", "--date", "2026-09-20", "--text", "sugar maple"]
        assert CliRunner().invoke(main, note).exit_code == 0
    elif kind == "daily":
        days = pd.concat([pd.date_range(f"{y}-12-01", f"{y + 1}-04-30").to_series() for y in range(2019, 2026)])
        nth = pd.Series(np.arange(len(days)), index=days.index)
        weather = {"date": days.dt.date, "least_f": 8.0 * (nth % 5) - 6.0, "snow_in": 18.5 * (nth % 15 == 0)}
        pd.DataFrame(weather).to_csv(home / "winters.csv", index=False)
    elif kind in ("oil", "season"):
        more = {"oil": {"oil_gal": "700", "stove_pct": "70"}, "season": {"burned_cord": "2", "season_gone_pct": "30"}}
        _set(home, **{f"needs__{key}": value for key, value in more[kind].items()})
        text = (home / "place.toml").read_text(encoding="utf-8")
        (home / "place.toml").write_text(re.sub(r"(?m)^firewood\w* *=.*$", "", text), encoding="utf-8")
    return home


KINDS = (
    "plain",
    "covers",
    "sugarbush",
    "soil",
    "stacked",
    "daily",
    "oil",
    "season",
    "doyle",
    "scribner",
    "international_eighth",
    "trees",
    "division",
)


def own_region(home: Path, topic: str, rows: pd.DataFrame | None) -> None:
    """A region of the family's own that holds one changed table, or none."""
    ours = home / "ours"
    shutil.rmtree(ours, ignore_errors=True)
    ours.mkdir()
    (ours / "region.toml").write_text(f'name = "ours"\nbased_on = "{BASED_ON}"\n', encoding="utf-8")
    if rows is not None:
        rows.to_csv(ours / f"{topic}.csv", index=False)
    _set(home, region='"ours"')


def first_difference(one: str, two: str) -> str:
    """Where two answers part."""
    if not (one.startswith("{") and two.startswith("{")):
        return two[:120].replace("\n", " ")

    def walk(a, b, path):
        if isinstance(a, dict) and isinstance(b, dict):
            for key in a:
                if found := walk(a[key], b.get(key), f"{path}/{key}"):
                    return found
        elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
            for at, (x, y) in enumerate(zip(a, b, strict=True)):
                if found := walk(x, y, f"{path}/{at}"):
                    return found
        elif a != b:
            return f"{path}: {str(a)[:40]} -> {str(b)[:40]}"
        return ""

    return walk(json.loads(one), json.loads(two), "")


def base_answers(home: Path) -> dict[tuple[str, ...], tuple[str, set[str]]]:
    """Each verb's answer with a region that changes nothing, and the tables it read."""
    own_region(home, "", None)
    out = {}
    for line in asked():
        with reading() as reads:
            answer = ask(home, line)
        out[tuple(line)] = answer, {read.table for read in reads}
    return out


def tried(topic: str, homes: dict[str, Path], base: Callable[[str], dict]) -> tuple[str, str]:
    """Where a changed table moved an answer (place, verb, change) and what; else where it was refused; else nothing."""
    refused = "", ""
    for kind, home in homes.items():
        lines = [line for line, (_, read) in base(kind).items() if topic in read or topic in NAMES]
        for change, rows in others(shipped(BASED_ON).table(topic), topic) if lines else ():
            own_region(home, topic, rows)
            for line in lines:
                answer = ask(home, list(line))
                where = f"{kind} {' '.join(line)}, {change}"
                if answer.startswith("CRASHED"):
                    return where, answer
                if answer.startswith("refused"):
                    refused = where, answer[:150].replace("\n", " ")
                    break
                if moved := first_difference(base(kind)[line][0], answer):
                    return where, moved
    return refused


def run(topics: list[str], kinds: tuple[str, ...] = KINDS) -> dict[str, tuple[str, str]]:
    """Topic -> where its change moved something, and what."""
    with tempfile.TemporaryDirectory() as folder:
        homes = {kind: place(kind, Path(folder)) for kind in kinds}
        base = cache(lambda kind: base_answers(homes[kind]))
        out = {}
        for topic in topics:
            out[topic] = tried(topic, homes, base)
            print(f"{topic:28} {out[topic][0] or 'NOTHING MOVED':42} {out[topic][1]}", flush=True)
        return out


if __name__ == "__main__":
    found = run(sys.argv[1:] or [t for t in known_tables() if t not in BROUGHT | {"sources"}])
    still = [topic for topic, (where, _) in found.items() if not where]
    print(
        f"{len(found) - len(still)} of {len(found)} tables moved an answer; nothing moved by: {', '.join(still) or '-'}"
    )
