"""The spot against its target, for whoever stands two metres away: in, over or under."""
