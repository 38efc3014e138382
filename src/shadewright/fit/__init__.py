"""How a bench prints -> clearances -> chance that a joint feels right -> what to draw."""
