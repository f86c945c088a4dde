"""A pack as an electrical network: graph, topology, rings, solution, and the circuit theory beneath."""
