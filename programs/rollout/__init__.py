"""Handing a template to many clients: choosing them, seeing what would be flagged, doing it, taking it back."""
