"""Arranging a programme: placing exercises, sessions and weeks, blocks, progressions, swaps and substitutes."""
