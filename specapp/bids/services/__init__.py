"""Every change of enquiries and offers, with a record of who made it."""
