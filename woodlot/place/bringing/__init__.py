"""Any file a family has -> the plain tables of its place.

model.py        what goes in and out: Layer, Question, Answers, There, Understood
opening.py      a file -> its layers: shapes with attributes, or a grid of text; changes nothing
headings.py     what stands over columns -> columns and units
kinds.py        which table a layer is
measures.py     cells as written -> numbers, days, yes and no as tables hold them
drawn.py        shapes: coordinate systems, lines that close, outlines that cross themselves
called.py       names and descriptions -> ids, covers, legal words, acres
cruise.py       a table of plots and trees together -> plots and trees; plots without a stand
tables.py       a layer without shapes -> its part; outlines.py: a layer of shapes -> its parts
understanding.py  all of it -> Understood, with the questions still open
texts.py        rows behind the lines of a table, which keep their bytes
into.py         the place as it is, and Understood -> the texts of its files
bringing.py     the job: opened once, understood as often as something is answered, written once

``understand`` looks at cells, shapes and names alone; the same layers, place and answers give the same result.
"""
