"""Previsualise a filmed interview: a YAML scene in, every camera's lit frame out."""
