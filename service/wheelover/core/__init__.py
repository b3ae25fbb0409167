"""The computation: types and pure functions. No file, no clock, no database, no chance."""
