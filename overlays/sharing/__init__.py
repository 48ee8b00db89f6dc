"""How loops over a frame are shared among workers, whoever these are."""
