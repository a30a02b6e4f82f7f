"""Metal that yields: a body of revolution pushed beyond its elastic limit; knows no rims."""
