"""Mutants that no test can kill because they change nothing; each was judged by hand.

They are counted apart. Few, or they are no longer judged but excused.
"""

EQUIVALENT: dict[tuple[str, str, str], str] = {}
"""(module, line of code, what is changed) and why nothing comes of it."""
