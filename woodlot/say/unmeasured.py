"""Stands without a plot: what is said of them wherever they are met."""

__all__ = ["nobody"]


def nobody(where: str = "") -> str:
    """That nobody has measured here, and what it would take; where: of the plots, as " in a stand"."""
    return f"Nobody has put a plot here. Three plots{where} would give a first figure."
