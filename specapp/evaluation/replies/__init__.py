"""Replies of a bidder held against the requirements: what was offered, what it comes to, what to ask."""
