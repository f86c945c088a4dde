"""Which tested modules to fit, which of them go together, and where: the serial plan of a layout."""
