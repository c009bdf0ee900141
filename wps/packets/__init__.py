"""Packets: what goes in, what stands in the way, putting the file together, handing it over."""
