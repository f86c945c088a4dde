"""From facts and rules to the report: judge, folding, errands, what surrounds a judgement."""
