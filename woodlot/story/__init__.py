"""What is told of a ``Season``, verb by verb.

felling.py      a tally of trees: what they become, which to fell for the house
screens.py      what may be taken, in one line
"""
