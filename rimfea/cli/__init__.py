"""The command line: one file a command, heavy libraries imported when a command runs."""
