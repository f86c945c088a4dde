"""The page of a case, on this machine: its brief, its record, a form to ask, and the readings so far."""
