"""A season of back-to-back rentals: requests, lengths, schedule and the reasons for it."""
