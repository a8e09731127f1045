"""Deer sign, counts, range, browse, food, winter, herd and meat."""
