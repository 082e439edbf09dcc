"""Tests of the engine: no database, no Django."""
