"""A practice on which everything that changes logs is tried in any order, and what must be true after each step."""
