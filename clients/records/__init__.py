"""A client's data as a whole: what belongs to them, exported, erased, consented to and kept for how long."""
