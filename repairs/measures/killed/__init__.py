"""Processes that are killed in the middle of a deed, and what must be true afterwards."""
