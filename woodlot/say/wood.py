"""What is said of standing wood.

UNMEASURED, BORROWED, NOT_MEASURED   why a stand has no number or no range of its own
OF_EIGHTH                            how the 1/8-inch rule comes from equations of the 1/4-inch one
"""

__all__ = ["BORROWED", "NOT_MEASURED", "OF_EIGHTH", "UNMEASURED"]

UNMEASURED = "nobody has put a plot here; three would give a first figure"
BORROWED = "borrowed, so no range"
NOT_MEASURED = "not measured"
OF_EIGHTH = "The equations are of the 1/4-inch rule; the 1/8-inch rule differs by the saw's kerf alone (derived)."
