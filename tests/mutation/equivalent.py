"""Mutants that no test can kill because they change nothing; each was judged by hand.

They are counted apart. Few, or they are no longer judged but excused.
"""

EQUIVALENT: dict[tuple[str, str, str], str] = {
    (
        "overlays/measure/balance/balance.py",
        "step = 1e-4 * np.maximum(rgb, 1e-3)",
        "constant nudged: 1e-4 -> 0.00015000000000000001",
    ): "the step of a central difference: slopes of all curves differ by less than 1e-8, but "
    "within 2e-4 of a break of one, where it has no one slope",
}
"""(module, line of code, what is changed) and why nothing comes of it."""
