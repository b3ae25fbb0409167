"""Dumps of every released schema, of both engines, kept for ever."""
