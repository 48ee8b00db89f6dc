"""The four labels along the lower edge, and the index of views, as pieces of type."""
