"""Everything the program prints and says, in each of its states, to look at."""
