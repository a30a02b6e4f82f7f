"""Answers in words: sentences, tables and plain data; no pictures."""
