"""Six-node triangles for any plane section: readable alone, knows no rims."""
