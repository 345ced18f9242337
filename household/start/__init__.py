"""The first run: the household and its organiser, then members, areas and common chores."""
