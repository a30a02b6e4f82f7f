"""The studies a builder asks for, each a few calls from sheet to answer."""
