"""Reading clients with their tested lifts from a CSV file: all of it or nothing."""
