"""Migrations of the store, named, recorded in the database and each in one transaction."""
