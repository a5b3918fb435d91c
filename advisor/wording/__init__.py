"""From findings to sentences for people; imported by what people read only. Nothing is decided here."""
