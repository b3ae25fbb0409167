"""The checks of a plan: one file a subject, and the register that lets none of them fall silent."""
