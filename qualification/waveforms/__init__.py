"""Measured waveforms of trials: kept, worked through, drawn and said in words."""
