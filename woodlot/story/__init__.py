"""What is told of a ``Season``.

answers.py    all of it as one plain mapping, the only thing that screen, map and report are drawn from
cutting.py    the cut of all stands together
growth_view.py  what grow and cut show
felling.py    a tally of trees: what they become, which to fell for the house
screens.py      what single verbs show
why.py        how one number was made (it takes answers, which are made from the chapters)
"""
