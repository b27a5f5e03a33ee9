"""A season of back-to-back rentals: requests, booking durations, schedule, and the reasons for it."""
