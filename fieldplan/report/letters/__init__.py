"""Letters: their templates, the fields that these name, and what comes of both."""
