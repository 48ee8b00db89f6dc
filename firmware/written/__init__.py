"""What people type, understood or refused in one sentence."""
