"""Published rules as functions of plain numbers, each returning a ``Check``; method page: ``docs/codes.md``."""
