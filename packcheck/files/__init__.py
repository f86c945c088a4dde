"""Files that people write and that packcheck writes: text, positions, quantities, schemas, what is wrong with them."""
