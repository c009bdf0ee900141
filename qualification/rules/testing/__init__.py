"""Which tests a coupon needs, and what their results amount to."""
