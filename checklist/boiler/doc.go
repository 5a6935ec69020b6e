// Package boiler holds the sums of a small boiler and its seals: what steam is
// at the pressure shown by a gauge, which sealing material, metal or solder
// lives in which part of the engine, glands and O-rings, how long a sealant
// wants, what a hydraulic test tells, and the geometry of the bench.
//
// Everything is a plain function of its arguments. Pressures are gauge
// (quantity.Pressure) unless the type says absolute
// (quantity.AbsolutePressure); the two cannot be mixed by accident.
//
// Nothing here decides what a boiler code decides: the test multiple, the hold
// time, who may test and who may sign are typed in by the user, and the local
// boiler code and the boiler inspector have the last word.
//
// Sources are named beside the figures. "From memory" means a standard or
// handbook that was not re-read; "common practice, no source" means what it says.
package boiler
