"""One page for a browser."""
