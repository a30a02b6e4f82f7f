"""Answers as pictures, by matplotlib."""
