"""What a maker owns and has learned, kept in one SQLite file that outlives lamps."""
