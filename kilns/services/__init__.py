"""What changes the tables of kilns: plain functions, noun then verb; each table has one module that writes it."""
