"""Drawings of a pack as SVG: faces to scale, the current path, what was found where."""
