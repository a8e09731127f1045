"""The report, its charts, and the tally sheets.

report       the year's plan as pages to print
pages        its first pages; parcel_pages one a parcel; wood_pages what to cut; back_pages charts and method
figures      charts as SVG; stand_figures those of stands on their guides, deer_charts the deer
buck_sheet   the list of trees to fell and how to buck them
pdf          the same pages as a PDF, where the optional library is there
tally_sheet  blank sheets to print
tally_page   the tally sheet for a phone without signal
tally_files  what the phone saved, put behind what the place has
"""
