"""Accounts: who signs in, what each may do where, and how a decision is tied to a person."""
