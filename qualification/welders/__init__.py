"""Welders: their log, what keeps a qualification going, and who may make a weld."""
