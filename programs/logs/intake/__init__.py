"""Reading sets that were done from a CSV file: several clients and sessions in one file, one act, one undo."""
