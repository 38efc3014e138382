"""A part, cut into layers and checked before it is printed."""
