"""What templates of the logs need beyond the desk's own filters."""
