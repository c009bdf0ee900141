"""Voltage and current logs of a weld: recognised, confirmed, read, and reckoned.

The way of a log: `layout.recognise` proposes how a file is to be read; a person confirms or changes it
(`layout.changed`); `reading.read_log` reads it; `analysis.analyse` reckons; `evidence.compare` holds what was
seen against what was declared; `envelope.envelope` thins it out for a plot. Volts, amperes, seconds, watts
and joules throughout, as floats: these are measurements, and every figure carries its uncertainty.
"""
