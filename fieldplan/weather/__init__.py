"""Fieldwork days from a daily weather record: reading, rules, and odds by counting years."""
