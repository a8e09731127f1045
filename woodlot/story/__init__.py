"""What is told of a ``Season``, verb by verb.

cutting.py      the cut of all stands together
days.py         which day numbers are of
felling.py      a tally of trees: what they become, which to fell for the house
ground.py       what rasters say of the ground, in words
growth_view.py  what grow and cut show
screens.py      parts of the season as single verbs and the map show them
"""
