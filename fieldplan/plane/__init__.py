"""Plane geometry that knows nothing of drills: frames, offsets, strips and paths."""
