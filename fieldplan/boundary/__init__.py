"""Any boundary file → clean fields with their acres: guard, read, clean, measure."""
