"""Cheap signs in a running feed that it is not what it is read as; a feed check settles them."""
