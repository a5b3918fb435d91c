"""Terminal and markdown."""
