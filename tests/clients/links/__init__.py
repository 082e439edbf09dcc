"""Tests of a client's links."""
