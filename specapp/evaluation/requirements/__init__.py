"""What is asked of every bidder: requirements made from proposals, each with a criterion to check."""
