"""The wood's own sums: pure functions, each with its source. No Django, no database, no clock."""
