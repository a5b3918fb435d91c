"""What a reader sees, as data: which options stand where, figures rounded for people. No layout."""
