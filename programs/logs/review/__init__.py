"""What to change next week: proposals from the logs, what each would do, and applying one of them."""
