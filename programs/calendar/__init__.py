"""One client's calendar: what is planned and done day by day, days away, test days, and moving what is planned."""
