"""Volume of single trees; every function of this chapter that answers "how much wood", under one roof.

By total height (woodlot.tree.westfall)
    stem_cuft_westfall_2024, levels_westfall_2024
By merchantable height, or logs and form class (woodlot.tree.composite)
    stem_cuft_beers_1964, stem_and_bark_cuft_beers_1964, cords_beers_1964, tree_bdft_wiant_1986
Whole tables of trees (woodlot.tree.frame)
    volumes
"""

from woodlot.tree.composite import (
    cords_beers_1964,
    stem_and_bark_cuft_beers_1964,
    stem_cuft_beers_1964,
    tree_bdft_wiant_1986,
)
from woodlot.tree.frame import volumes
from woodlot.tree.rows import levels_westfall_2024
from woodlot.tree.westfall import (
    stem_cuft_westfall_2024,
)

__all__ = [
    "cords_beers_1964",
    "levels_westfall_2024",
    "stem_and_bark_cuft_beers_1964",
    "stem_cuft_beers_1964",
    "stem_cuft_westfall_2024",
    "tree_bdft_wiant_1986",
    "volumes",
]
