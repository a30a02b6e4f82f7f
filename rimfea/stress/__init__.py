"""Cuts across the walls, linearised stress, and the verdict: which wall gives first."""
