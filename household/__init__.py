"""Evenhouse: one Django app, many rooms. DEVELOPERS.md tells which room is which."""
