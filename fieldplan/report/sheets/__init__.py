"""Templates of printed sheets."""
