"""Charts and their like: files of other makers, read for us."""
