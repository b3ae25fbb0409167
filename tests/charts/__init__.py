"""Tests of what is read of other makers' charts."""
