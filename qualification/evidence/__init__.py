"""From stored test records to what they qualify."""
