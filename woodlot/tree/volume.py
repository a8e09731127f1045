"""Volume of single trees; every function of this chapter that answers "how much wood", under one roof.

By total height (woodlot.tree.westfall)
    stem_cuft_westfall_2024, bark_cuft_westfall_2024, merch_cuft_westfall_2024, top_height_ft_westfall_2024,
    levels_westfall_2024
By merchantable height, logs and form class, or a form factor (woodlot.tree.composite)
    stem_cuft_beers_1964, stem_and_bark_cuft_beers_1964, cords_beers_1964, bdft_beers_1964,
    tree_bdft_wiant_1986, stem_cuft_gevorkiantz_1955
Whole tables of trees (woodlot.tree.frame)
    volumes
"""

from woodlot.tree.composite import (
    bdft_beers_1964,
    cords_beers_1964,
    stem_and_bark_cuft_beers_1964,
    stem_cuft_beers_1964,
    stem_cuft_gevorkiantz_1955,
    tree_bdft_wiant_1986,
)
from woodlot.tree.frame import volumes
from woodlot.tree.rows import levels_westfall_2024
from woodlot.tree.westfall import (
    bark_cuft_westfall_2024,
    merch_cuft_westfall_2024,
    stem_cuft_westfall_2024,
    top_height_ft_westfall_2024,
)

__all__ = [
    "bark_cuft_westfall_2024",
    "bdft_beers_1964",
    "cords_beers_1964",
    "levels_westfall_2024",
    "merch_cuft_westfall_2024",
    "stem_and_bark_cuft_beers_1964",
    "stem_cuft_beers_1964",
    "stem_cuft_gevorkiantz_1955",
    "stem_cuft_westfall_2024",
    "top_height_ft_westfall_2024",
    "tree_bdft_wiant_1986",
    "volumes",
]
