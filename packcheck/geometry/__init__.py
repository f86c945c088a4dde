"""Bare metal in pack axes: bodies, gaps, what lies within reach of what."""
