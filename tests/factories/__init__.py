"""Rows for tests, made with plain defaults; one module an app."""
