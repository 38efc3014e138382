"""The commands; they ask and show, and compute nothing."""
