"""What was found: the models of a case file, and reading one."""
