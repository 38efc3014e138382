"""Shadewright: design checks for 3D-printed light fittings built around bought parts."""

__version__ = "0.1.0"
