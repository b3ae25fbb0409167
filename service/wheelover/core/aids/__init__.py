"""Aids to steering by the plan: marks and cues, index lines, clearing lines, transits."""
