"""Bulb in shade: temperatures of air, plastic and glue."""
