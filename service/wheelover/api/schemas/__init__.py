"""Models of the JSON that goes in and out: strict, with the field names of the core."""
