"""Tables filled in with other programs, CSV and XLSX workbooks, as rows of cells that know where they stand."""

from packcheck.files.tables.cells import Cell, Grid
from packcheck.files.tables.reading import is_table, read_grids

__all__ = ["Cell", "Grid", "is_table", "read_grids"]
