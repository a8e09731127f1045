"""woodlot: what stands in a family's woods, what may be cut, how many deer use it, what may be taken.

The chapters, in the order in which they build on each other:

land    parcels, acres, contacts, ground, water, distance
tree    height, taper, volume, mass and growth of single trees
stand   plots, stocking, site, growth, likeness
wood    log rules, cutting up a stem, cords, heat, the household's needs
deer    signs, counts, range, browse, food, winter, herd, meat
plan    cut, schedule, hunt, years, ledger
map     the map page
paper   report, charts and tally sheets

``woodlot.place`` reads a family's folder; ``woodlot.season`` works out each chapter of one place on one day when it is
asked for; ``woodlot.answers`` holds what is told of it, ``woodlot.say`` its sentences.
"""

__version__ = "0.1.0"
