"""Renderers: pure functions of a report, a pack or a rule; they neither print nor compute."""
