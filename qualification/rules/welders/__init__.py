"""Whether a welder's qualification holds on a day, and how it is designated."""
