"""The tally sheet for a phone without signal: one page that fetches nothing and saves the place's own CSV.

html(answers)      the page as text, with the family's stands and kinds of tree

It tallies tree plots (prism or fixed), pellet plots and browsed stems. Everything is kept at each tap; ``plots.csv``,
``trees.csv``, ``pellets.csv`` and ``browse.csv`` come out with the columns that ``woodlot.place`` reads.
"""

from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from jinja2 import Template

from woodlot.answers.measuring import Measuring
from woodlot.answers.plot_types import FirstPlots
from woodlot.answers.scale import ScaleAnswer
from woodlot.answers.stand_types import Stand, StandWood
from woodlot.answers.types import Answers
from woodlot.columns import header
from woodlot.errors import InputError, TableError
from woodlot.map import offline
from woodlot.paper.tally_sheet import known_kinds
from woodlot.plan.cautions import SIGN, short_of_deer
from woodlot.region import Region
from woodlot.say import measuring as say
from woodlot.say.words import NO_PARCEL, capital
from woodlot.stand.plots import limiting_distance_ft_prism
from woodlot.trade import PLOT_KINDS
from woodlot.tree.quality import letters
from woodlot.units import BASAL_SQFT_PER_SQIN

__all__ = ["html"]

FACTORS = (5.0, 10.0, 15.0, 20.0, 30.0, 40.0)
PELLET_RADIUS_FT = 4.0
#: What to mind with signs of deer, by the table they are written in.
MIND = {"pellets": SIGN, "browse": SIGN[:1]}
#: Kinds that are common in the region: offered behind those of the place.
USUAL = (
    "sugar maple",
    "red maple",
    "american basswood",
    "northern red oak",
    "quaking aspen",
    "paper birch",
    "balsam fir",
)
#: Kinds of a stand that are offered before those of several species, and at most how many of these.
OWN, SHARED = 4, 2
#: Words on a tree that a thumb reaches at once; the others stand behind "more".
FIRST_WORDS = ("crop", "good", "poor form", "at risk")
#: Joined in one function, in this order.
SCRIPTS = ("tally_keep.js", "tally_begin.js", "tally_trees.js", "tally_deer.js")


def html(
    answers: Answers | ScaleAnswer,
    region: Region,
    measuring: Measuring,
    baf_sqft_per_ac: float = 10.0,
    to_put: FirstPlots | None = None,
) -> str:
    """The tally page for one place.

    Parameters
    ----------
    answers
        All that was answered for the place: its stands, their species and how many plots they have.
    region
        Region whose kinds of tree and shrub the page offers; the folder of one that lies beside the place.
    measuring
        How many trees are measured beside the count, whose heights are wanted, and kinds of several species that were
        tallied: they stay on the buttons, though sums share them out.
    baf_sqft_per_ac
        Factor of the family's prism [sq ft/ac], chosen when the page opens.
    to_put
        Plots still to be measured: their names are offered first, with the way to each.

    Raises
    ------
    InputError
        When there is no stand to tally in.
    """
    if not answers.stands:
        raise InputError("there is no stand to tally in; draw its parcel first")
    factors = sorted({*FACTORS, float(baf_sqft_per_ac)})
    names = {p.parcel_id: p.name for p in answers.parcels or ()}
    commonest = list(dict.fromkeys([*known_kinds(answers), *USUAL]))
    judged = letters(region=region).values()
    heights = {one.stand_id: [[kind.species, kind.more] for kind in one.wanted] for one in measuring.heights}
    data = {
        "place": answers.name,
        "columns": {name: header(name) for name in ("plots", "trees", "pellets", "browse")},
        "stands": [
            _stand(s, names, measuring.kinds) | {"heights": heights.get(s.stand_id, [])} for s in answers.stands
        ],
        "measuring": {
            "every": measuring.every,
            "part": measuring.factor_times**-0.5,
            "words": say.on_every_point(measuring.rule, measuring.factor_times),
            "here": say.on_this_point(measuring.trees, measuring.factor_times),
        },
        "parcels": [{"id": k, "name": v} for k, v in names.items()],
        "species": _species(region),
        "to_put": [
            {"id": p.plot_id, "stand": p.stand_id, "lon": p.lon, "lat": p.lat, "way": p.whole_way}
            for p in (to_put.plots if to_put else ())
        ],
        "commonest": commonest,
        "words": list(judged),
        "first_words": [word for word in FIRST_WORDS if word in judged],
        "browse": [*commonest[:7]],
        "mind": {kind: " ".join(short_of_deer(region, topics).values()) for kind, topics in MIND.items()},
        "plot_kinds": [[kind.key, kind.one] for kind in PLOT_KINDS.values()],
        "factor": _plain(baf_sqft_per_ac),
        "factors": [{"factor": _plain(f), "feet_per_inch": float(limiting_distance_ft_prism(1.0, f))} for f in factors],
        "basal_sqft_per_sqin": BASAL_SQFT_PER_SQIN,
        "pellet_radius_ft": _plain(PELLET_RADIUS_FT),
    }
    text = Template(offline.own("tally.html", "paper")).render(
        policy=offline.POLICY,
        name=data["place"],
        css=offline.own("tally.css", "paper"),
        data=offline.safe_json(data),
        script='(function () {\n"use strict";\n'
        + offline.own("words.js")
        + "".join(offline.own(s, "paper") for s in SCRIPTS)
        + "})();",
    )
    return offline.finished(text)


def _plain(value: float) -> float | int:
    return int(value) if float(value).is_integer() else float(value)


def _stand(s: Stand | StandWood, names: dict[str, str], shared: Sequence[str]) -> dict[str, Any]:
    basal = s.basal_sqft_per_ac.value
    parcel = names.get(s.parcel_id or "", NO_PARCEL)
    own = [k.species for k in s.species]
    return {
        "id": s.stand_id,
        "name": f"{s.stand_id}: {capital(s.cover)}, {parcel}",
        "parcel": parcel,
        "plots": s.plots if basal is not None else 0,
        "basal": basal or 0.0,
        "kinds": list(dict.fromkeys([*own[:OWN], *shared[: SHARED if own else 0], *own[OWN:]]))[:7],
    }


def _species(region: Region) -> list[str]:
    """Every kind of tree and shrub that the region's tables know, in the order of the alphabet."""
    kinds = set(region.table("species")["species"].astype(str))
    with suppress(TableError):
        kinds |= set(region.table("deer_browse_preference")["species"].astype(str).str.lower())
    return sorted(kinds)
