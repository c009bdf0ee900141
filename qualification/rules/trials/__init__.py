"""Trials at the machine: cautions, readings, and settings that follow from them."""
