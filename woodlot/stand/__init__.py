"""Stands and plots: what stands where, how full it is, how it grows."""
