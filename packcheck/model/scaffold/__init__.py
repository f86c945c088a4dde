"""A first layout from a few answers."""
