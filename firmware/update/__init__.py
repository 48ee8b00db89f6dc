"""Versions beside each other, a signed bundle that brings one, and a way back from it.

`choices` decides and touches nothing; `slots` does what was decided, each step whole or not at all;
`guard` asks both before every start of the unit, and is kept outside of the versions it judges.
"""
