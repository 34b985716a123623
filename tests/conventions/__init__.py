"""The house's rules as tests, each with its reason; DEVELOPERS.md tells the same in words."""
