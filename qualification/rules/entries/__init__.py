"""From what was typed to facts and back to words, and what follows from other entries."""
