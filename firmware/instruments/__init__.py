"""The instruments: one folder each, one line each in `registry`.

Whoever shows, prints or serves answers knows the contract and the registry, never an instrument.
Instruments never import each other.
"""
