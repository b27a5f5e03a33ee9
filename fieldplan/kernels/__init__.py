"""Compiled loops over numbers: words, paths, edges, turns and lanes. They know nothing of the trade."""
