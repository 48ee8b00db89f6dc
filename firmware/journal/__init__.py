"""The journal: marks and what happened, kept through a power cut, to be read back and recomputed.

`store` keeps rows, each sealed with the one before. `recorder` is the thread that saves, so that no
drawing waits for a card. A mark's numbers are made of the codes that are stored with it and of
nothing else (`mark_numbers`, `made_again`), so that `verify` finds them again to the last digit.
"""
