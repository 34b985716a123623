"""The date that holds nine times in ten, by simulation: pure, without database and clock."""
