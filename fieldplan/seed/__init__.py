"""From the seed tag to pure live seed, bulk seed, box and order."""
