"""What everything else is said in: values, units, facts of a weld, limits, findings."""
