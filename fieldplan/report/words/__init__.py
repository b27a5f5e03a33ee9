"""How facts are put into words: quantities in the reader's units, notes, places, sources."""
