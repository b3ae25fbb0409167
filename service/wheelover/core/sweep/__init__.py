"""The hull moved along the track: what it sweeps, how near it comes, and how early or late."""
