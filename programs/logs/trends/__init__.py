"""The trends page of one client: what was done over the weeks, what it is held against, and how it is drawn."""
