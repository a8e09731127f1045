"""The one-file map.

words       numbers, ranges and dates as people read them
paint       colors, hatches and the four steps of each question
questions   what each question says of every stand and parcel
cards       the words on a stand's and a note's card
labels      where labels, tags and deer marks find room
drawing     a parcel, and the plan of all parcels, as still SVG
layers      all of the above in one plain structure
offline     everything the page needs put inside the one file
page        that structure as a folium page
"""
