"""Tests of the client's phone."""
