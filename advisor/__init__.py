"""Ranks what can be done when a natural-draft gas water heater spills."""

__version__ = "0.1.0"
