"""Parcels between ship and shore: who we are, whom we trust, what is sent, taken and known."""
