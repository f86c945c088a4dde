"""A build record as typed parts: the model, and the readers of its tables."""
