"""Filters for templates; Django looks for them here."""
