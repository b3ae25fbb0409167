"""When she is where on the planned track, and what follows from it."""
