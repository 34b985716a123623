"""The pages of selling."""
