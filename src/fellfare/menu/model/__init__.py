"""The arrays of a menu: cells, plates, rows; relaxation, search."""
