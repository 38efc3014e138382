"""Geometry in and out: reading and writing models, generated joint features, trial pieces."""
