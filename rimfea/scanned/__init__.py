"""Grey levels of a scan as rings of coordinates; knows no files and no rims."""
