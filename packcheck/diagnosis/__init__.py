"""What could explain readings that do not fit: hypotheses, each solved, and the measurement that splits them best."""
