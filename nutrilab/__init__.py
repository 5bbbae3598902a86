"""Nutrition and allergens of recipes, from open food composition data."""

__version__ = "0.1.0"
