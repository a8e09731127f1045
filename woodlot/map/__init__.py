"""The one-file map."""
