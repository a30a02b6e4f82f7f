"""Loads as data, and the models that turn them into displacement and stress."""
