"""Template tags of programmes."""
