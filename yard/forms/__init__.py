"""Forms: typed text becomes values here, in the units of who types."""
