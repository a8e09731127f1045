"""Report, charts and tally sheets."""
