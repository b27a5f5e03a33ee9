"""Documents and sheets for the printer; documents read the same on the terminal."""
