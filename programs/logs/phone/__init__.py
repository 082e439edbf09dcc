"""The client's phone: what is to do, what is saved, and everything that is done on a session tapped in."""
