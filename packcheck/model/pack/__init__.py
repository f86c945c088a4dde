"""A layout as typed parts: the model, and the readers that resolve every reference."""
