"""What is shown: words, tables, figures and the answers as data."""
