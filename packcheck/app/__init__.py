"""The command line: what people type, how a command ends."""
