"""Where frames come from; every feed keeps the contract of `base`."""
