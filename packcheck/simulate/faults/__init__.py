"""The library of faults: each one an edit of a true build, or a slip in what was written down of it."""
