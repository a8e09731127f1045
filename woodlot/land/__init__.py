"""Parcels, acres, contacts, ground, water and distance."""
