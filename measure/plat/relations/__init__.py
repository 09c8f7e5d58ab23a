"""How lands lie to each other, to the edges of the parcel and to places on it."""
