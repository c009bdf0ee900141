"""Procedures: begun, written, matched to a weld, approved and frozen."""
