"""True builds of a layout, faults in them, and what people with real instruments write down of them.

Shares nothing with what judges: it has its own network, its own solution of it, and its own words for what is wrong.
"""
