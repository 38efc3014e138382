"""``lamp.toml``: what the maker states, read with errors that name file, line and cure."""
