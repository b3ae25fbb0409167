"""When the ship is where, and the height of tide then."""
