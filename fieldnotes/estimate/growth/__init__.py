"""Counts over time: the line through them, its growth, and when a level is passed."""
