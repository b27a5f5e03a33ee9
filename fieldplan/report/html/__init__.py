"""The plan as a page for a browser."""
