"""The interview: which questions are asked, how answers are read, what is said between; above the case, below the commands."""
