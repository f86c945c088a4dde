"""Records and blank sheets as files that people fill in: YAML, CSV, XLSX, and paper."""
