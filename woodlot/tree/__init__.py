"""Height, taper, volume, mass and growth of single trees."""
