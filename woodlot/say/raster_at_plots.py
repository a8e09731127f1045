"""What heights seen from above do for the plots, in words: asked, helped, or left alone and why.

WORDS   key of a Reason -> its sentence, of a refusal its part of one
"""

from collections.abc import Callable, Mapping

from woodlot.say.words import first_of, listed, noun, plural

__all__ = ["WORDS"]

#: Stands that are named at once.
NAMED = 8
KEYS = {
    "canopy_year": "canopy_year, the year in which the heights were measured",
    "positions_ft": "positions_ft, how many feet off your plots may lie on the map",
    "by_picture": "by_picture = false, unless plots were put where the picture showed something",
}
FOR_STANDS = {
    "no position": "not every plot has a position",
    "no day": "not every plot has its day",
    "years apart": "plots and picture lie too many years apart",
    "cut between": "wood was felled there between picture and plots",
    "not shown": "the raster does not show all of it",
    "beyond": "its trees are taller or lower than at any plot of its cover",
}
FOR_COVER: Mapping[str, Callable[..., str]] = {
    "few": lambda plots, least: f"{plots} of the {least} plots that it takes",
    "few in a stand": lambda plots, of: f"{plots} plots in {of} stands leave no spread within a stand",
    "no gain": lambda gain, plots: (
        f"a plot of the {plots} that is left out is told with {100 * gain:.0f}% of the error it has without them, and "
        "ranges would hardly be narrower"
    ),
}


def _asks(name: str, keys: tuple[str, ...]) -> str:
    wanted = listed([KEYS[key] for key in keys])
    return (
        f"{name} may tell more of the ground between your plots. Write in place.toml, under [rasters_at_plots]: "
        f"{wanted}. Or use = false, and nobody asks again."
    )


def _stands(stands: tuple[str, ...]) -> str:
    return f"{noun(len(stands), 'stand')} {first_of(stands, NAMED)}"


def _helped(cover: str, plots: int, gain: float, stands: tuple[tuple[str, float, float], ...]) -> str:
    moves = first_of([f"stand {stand} from {before:.1f} to {after:.1f}" for stand, before, after in stands], NAMED)
    return (
        f"The raster of tree heights at {plots} plots of {cover} moved {moves} cords an acre. A plot left out is told "
        f"with {100 * gain:.0f}% of the error it has without it, and the ranges of these cords rest on that."
    )


WORDS: Mapping[str, Callable[..., str]] = {
    "picture asks": _asks,
    "picture helped": _helped,
    "picture of few": lambda plots, least: (
        f"Heights seen from above are not read at the plots: {plural(plots, 'plot')} of a cover with a position at "
        f"most, {least} would do."
    ),
    "plots by picture": lambda: (
        "Heights seen from above are not read at the plots: plots put where the picture showed something tell nothing "
        "of the ground between them."
    ),
    "positions off": lambda off_ft, most_ft: (
        f"Heights seen from above are not read at the plots: positions within {off_ft:g} feet are too rough, "
        f"{most_ft:g} would do."
    ),
    "picture not for stands": lambda why, stands: f"{_stands(stands)} ({FOR_STANDS[why]})",
    "picture not for cover": lambda why, cover, stands, **facts: (
        f"{cover}, {_stands(stands)} ({FOR_COVER[why](**facts)})"
    ),
    "by plots alone": lambda parts: f"Told by plots alone, without heights seen from above: {'; '.join(parts)}.",
}
