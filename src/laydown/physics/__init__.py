"""Kernels on plain numbers and arrays, one module a phenomenon; nothing here knows a record or a file."""
