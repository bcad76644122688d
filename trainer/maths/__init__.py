"""Service mathematics: pure, typed functions with their sources."""
