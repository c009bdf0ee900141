"""The cheapest coupons that cover what a job leaves uncovered."""
