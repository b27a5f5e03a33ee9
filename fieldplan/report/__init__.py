"""What people and programs read: one writer a file. Rounding happens here and nowhere else."""
