"""Clearance measured side by side with general-purpose software; run by hand."""
