"""Fills an empty database with the demo practice: from plain demo data to rows, client by client."""
