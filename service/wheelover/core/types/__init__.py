"""Frozen value types: fields, units and invariants; no algorithms."""
