"""White, grey and black judged together."""
