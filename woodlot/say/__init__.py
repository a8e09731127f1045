"""How answers are said: tables declared once for screen, CSV and JSON, and their layout in plain text."""
