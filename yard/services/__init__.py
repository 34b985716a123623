"""What changes rows: plain functions, noun then verb; each table has one module that writes it."""
