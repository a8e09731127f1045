"""How answers are said, one file a chapter; and what all of them use.

words       numbers, ranges, days and lists
reasons     why a number is as it is, or is not there
unmeasured  stands without a plot
column      one column and one table; tables declares those of the verbs once for screen, CSV and JSON
layout      columns of words as plain text
"""
