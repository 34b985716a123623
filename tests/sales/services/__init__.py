"""The services of selling."""
