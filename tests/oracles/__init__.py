"""Published formulae that the program does not use: what its own results are held against."""
