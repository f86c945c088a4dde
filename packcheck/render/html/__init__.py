"""The report as one page for a browser: everything inside, nothing from outside, no script needed to read it."""
