"""Selling: what a person or another part of the program may ask of it. Each table has one module that writes it."""
