"""The nouns of a scene and of the catalogue, as frozen, validated models in people's units."""
