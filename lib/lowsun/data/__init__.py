"""Published tables, each with its source in its header."""
