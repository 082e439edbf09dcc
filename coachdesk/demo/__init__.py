"""The invented demo practice as plain data, and the simulated people who train in it. No Django here."""
