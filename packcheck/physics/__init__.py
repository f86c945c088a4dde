"""Physics: small pure functions, one equation each, with units, validity and source."""
