"""The one-file map.

map_words     numbers, ranges and dates as people read them on the page
paint         colors, hatches and the four steps of each question
questions     what each question says of every stand and parcel; ground_questions has three others
cards         the words on a stand's and a note's card
labels        where labels, tags and deer marks find room
label_room    room on a parcel shared out at a few scales
drawing       what still drawings are made of
map_on_paper  a parcel, and the plan of all parcels, as still SVG
map_backdrop  pictures under the stands, lines of equal height
layers        all of the above in one plain structure
explore       map and tables inside a notebook
export        the same layers as GPX and KML, for other tools
isolate       names from right to left in pages from left to right
field_notes   notes written on the page in the woods, read back
offline       everything the page needs put inside the one file
printed       what the page prints
page          that structure as a folium page
"""
