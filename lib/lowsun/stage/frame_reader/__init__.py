"""The frame reader on the command line, and what it shows of a folder."""
