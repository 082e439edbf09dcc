"""A client's own links: made, shown once, revoked; the door for whoever comes with one."""
