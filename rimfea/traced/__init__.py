"""Sections from outside: rings of coordinates whose edges are named and measured."""
