"""The job on a clock: refills, hours, capacity and booking odds."""
