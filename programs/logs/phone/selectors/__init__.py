"""Reading for the phone: what is to do, one session with what is saved, and what may stand in."""
