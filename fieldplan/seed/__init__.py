"""Seed tag → pure live seed → bulk → box → order."""
