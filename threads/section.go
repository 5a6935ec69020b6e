package threads

// whitworthRadius is the radius at crest and root over the pitch, BS 84.
const whitworthRadius = 0.137329
