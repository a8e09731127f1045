"""What a plan answers, as plain frozen values, one file a chapter: screen, map, report and JSON are drawn from them.

types      the answers; stand_types, chart_types, house_types: their chapters (the deer: woodlot.deer.answer)
whole      all of them for one place on one day
land       parcels; the ground of each stand, how far the road is
wood       what stands: the whole, each species, each stand
cut        what may be taken, when, and the jobs of this winter
house      the house's heat, this winter and the coming ones
deer       what the season knows of the deer, in words
charts     series that the report draws
notes      lines of the ledger, cautions, what changed in a year
sources    where the figures come from, which are from memory
scale      what the verb of that name tells
first      the first screen: one line that decides, then a row for each question
tables     tables and layers written beside map and report
as_json    answers as JSON and back
why        how one number was made, and which figures were read for it
"""
