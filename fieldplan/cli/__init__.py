"""The command line: one command a file, shared options in one place, text and exit codes only here."""
