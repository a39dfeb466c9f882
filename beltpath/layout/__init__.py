"""A layout: its record, its file read strictly and written, its values changed."""
