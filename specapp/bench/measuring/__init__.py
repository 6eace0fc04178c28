"""What is measured on the installed chain: typed records, each with its calculation, verdict and reason."""
