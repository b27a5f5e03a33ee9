"""The job on a clock: refills, hours, capacity, booking odds, cost and fees."""
