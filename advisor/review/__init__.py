"""The published rules applied to what was found, and to what an option would leave behind."""
