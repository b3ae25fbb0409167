"""Tests of the store, on a real SQLite."""
