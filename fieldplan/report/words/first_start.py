"""What is said before the first plan on a machine, which waits until loops are compiled."""

from __future__ import annotations

FIRST = "fieldplan gets ready: its first plan on this machine takes up to a minute, once."
