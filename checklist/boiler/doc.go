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
//
// # Decisions
//
//   - Water under test. The volume to pump uses the handbook's bulk modulus of
//     2.18 GPa and the expansion of water at one atmosphere, as a hand calculation
//     does. Following IAPWS-IF97 with temperature would move the volume of a
//     copper boiler without air by 2 % at most from 15 to 30 °C and by 4 % at 5
//     °C; flat plates, which nothing here knows, are left out too. A drop is told
//     from temperature with its sign: warming explains no drop, except near
//     freezing where copper outgrows the water.
//   - Ranges among seal limits. Where sources give two figures the lower one
//     decides and both are shown; a limit typed in from the data sheet replaces
//     them. A danger that is said every time is a note marked Danger: it is
//     printed as a warning and changes no verdict.
//   - One scale side by side. In the tables of seals and metals whatever is over
//     the limit relied on is a stop, and they stand best first. Named alone, a
//     material whose sources disagree is warned of or asked about, as the sources
//     have it; in a table 50 K too hot must not look better than 5.
//   - Unlogged is not known. distinguishable of a fall of pressure is null where
//     the water's temperature was not logged and a change could explain the fall;
//     the finding temperature-unknown says why.
//   - A sheet's time that is shorter than the plan is asked about in the look-up:
//     sheets mean a warm room and metals that make the sealant set.
package boiler
