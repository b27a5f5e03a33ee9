"""Invoices, reports, packets and bills as headed parts: the same on the terminal and on paper."""
