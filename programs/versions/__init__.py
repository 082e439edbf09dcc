"""Versions of templates: saving, looking back, comparing, and bringing changes to clients' copies."""
