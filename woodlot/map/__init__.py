"""The one-file map.

words       numbers, ranges and dates as people read them
paint       colors, hatches and the four steps of each question
questions   what each question says of every stand and parcel; more_questions has three others
cards       the words on a stand's and a note's card
labels      where labels, tags and deer marks find room
drawing     what still drawings are made of
still       a parcel, and the plan of all parcels, as still SVG
under       pictures under the stands, lines of equal height
room        room on a parcel shared out at a few scales
layers      all of the above in one plain structure
explore     map and tables inside a notebook
export      the same layers as GPX and KML, for other tools
field_notes notes written on the page in the woods, read back
offline     everything the page needs put inside the one file
printed     what the page prints
page        that structure as a folium page
"""
