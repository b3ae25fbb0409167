"""The places of the API, one file a subject."""
