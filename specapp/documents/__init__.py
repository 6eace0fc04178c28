"""Documents: a proposal in, bytes out. No queries, no engineering arithmetic, the same bytes every time."""
