"""What is told of a ``Season``, verb by verb.

felling.py      a tally of trees: what they become, which to fell for the house
ground.py       what rasters say of the ground, in words
growth_view.py  what grow shows
screens.py      parts of the season as single verbs and the map show them
"""
