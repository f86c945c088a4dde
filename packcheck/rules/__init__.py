"""Rule files: read, checked against the catalogue of facts, and compiled."""
