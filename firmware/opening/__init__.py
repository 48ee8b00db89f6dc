"""From what was asked for to an open feed and what it is read with."""
