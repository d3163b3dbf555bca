"""Everything made of one scene or a day of them in one folder, with an index and a record."""
