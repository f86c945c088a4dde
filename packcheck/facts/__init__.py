"""The fact catalogue, and the builders that fill its tables from a pack and its record."""
