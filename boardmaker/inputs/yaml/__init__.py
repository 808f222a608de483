"""YAML 1.2 as plain data that remembers where each key and value stands, and one value written back."""
