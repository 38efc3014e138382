"""Caliper readings -> which thread is this, how sure, what to measure next."""
