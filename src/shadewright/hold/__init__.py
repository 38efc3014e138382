"""Strength: threads, snaps, pivots, brackets, tipping."""
