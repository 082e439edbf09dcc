"""Every write of the desk as a call that can be made again, and the machinery that lets one statement fail."""
