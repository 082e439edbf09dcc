"""Who works here: added, changed, leaving and coming back, and whom each coached when."""
