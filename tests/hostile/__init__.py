"""Hostile input for every form: what is sent, where it goes, and whether what was stored is what was typed."""
