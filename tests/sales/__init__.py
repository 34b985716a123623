"""Tests of selling."""
