"""The page laid out for paper."""
