"""Many parcels: every one of a large boundary file planned by itself, in parts, and added up."""
