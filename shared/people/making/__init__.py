"""How `body.npz` is made; run by `build_people.py` beside this folder."""
