"""Ties a lamp and a bench to all calculations and yields findings."""
