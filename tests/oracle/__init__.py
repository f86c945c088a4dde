"""A plain-arithmetic model of a real pack that shares no line with the program: its own names, network and algebra."""
