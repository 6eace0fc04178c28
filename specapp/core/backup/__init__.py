"""One file that holds an installation: every row, every file, and a checksum over all of it."""
