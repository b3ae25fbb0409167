"""The basis of a plan: its inputs, each with the word for where it came from."""
