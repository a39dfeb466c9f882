"""Files and standard streams: read and written whole; the layout that a card carries."""
