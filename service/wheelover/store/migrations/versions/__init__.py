"""One file for each migration, in order of their numbers."""
