"""The open coastline beside the planned track: chunks of it, what is land, and what is near."""
