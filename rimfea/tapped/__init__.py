"""The tones of a thing that was tapped, from a recording; knows no files and no rims."""
