"""Teaching with faults, and asking which of them the rules would find: cases, keys, marks, coverage."""
