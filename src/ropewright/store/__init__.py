"""The record: an append-only ledger of what happened to gear and people, and what follows from it."""
