"""Predictions: records in, kernels called, ranges checked, results out with their model, spread and sources."""
