"""Reference numbers as CSV, a value a row, each with its source; `read` opens them."""
