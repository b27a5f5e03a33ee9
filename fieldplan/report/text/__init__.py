"""Pages for the terminal."""
