"""Aids to keep the track by: marks, what can be seen of them, cues, index and clearing lines."""
