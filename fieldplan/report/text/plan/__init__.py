"""The sections of the plan page."""
