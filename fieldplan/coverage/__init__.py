"""Field + drill → headland, blocks, passes, turns, route and audit, all in plane meters."""
