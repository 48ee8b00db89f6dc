"""Answers on their way out: words, tables and objects, the same for every instrument."""
