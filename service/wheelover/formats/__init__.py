"""Bytes to types and back. No disk."""
