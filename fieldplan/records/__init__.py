"""What happened in a season: an append-only ledger, and the papers that are sums of it."""
