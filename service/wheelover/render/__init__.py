"""A plan as documents: JSON and GeoJSON. No disk."""
