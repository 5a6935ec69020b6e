// Package fastening works out what a screw thread does in metal: how strong a
// fastener of a named grade is, how hard it may be tightened, when the tapped
// metal strips, whether it may live in hot water, how a ring of screws holds a
// gasketed joint, and how a damaged tapped hole is saved.
//
// Sums take and give typed quantities (package quantity) and know nothing of
// files, clocks or screens. Rules about what may be done answer with Findings:
// stop, warn, ask or note, each with its reason and its source.
//
// Everything here is advice. Where a fastener or a hole belongs to a pressure
// vessel the local boiler code and the boiler inspector decide; every result
// carries that sentence (Deference).
//
// # Decisions
//
//   - One word, several products. A word under which the trade sells things that
//     stand, need or rub differently ("graphite", "paste", "compressed fibre",
//     "PTFE", "rubber", "silver solder") is refused, and the error names them.
//     Yarn named by what is on it is a material of its own: it is asked about from
//     natural fibre's 120 °C, and never credited with the limit of graphite or
//     PTFE. "greased" is grease, no longer the anti-seize paste.
//   - The groove table leads. An O-ring's groove is that of the metric trade
//     table, or lies between its rows; 75 % fill at nominal had made every groove
//     narrower than the tables. A squeeze or a fill that is asked for is worked
//     out, and warned of where the thickest ring of its tolerance fills over 90 %.
//     What squeeze is usual follows the tables where they go beyond the guides
//     (thin and thick sections).
//   - Two limits of a preload. Advice is the lesser of the combined stress of VDI
//     2230 (0.9 of yield unless asked) and 0.9 of the one-third strip force of the
//     tapped metal. The breaking torque of ISO 898-7 is a test of the product
//     without any friction and limits no assembly; a screw that binds gets all of
//     a torque, though, so a warning says from which one it may shear: 0.8 of the
//     least breaking torque, which is estimated where no table has the size.
//   - The tangent of the sum. VDI 2230's tables come from tan(φ + ρ'), its formula
//     for the bench adds the two tangents. With the first every cell of the tables
//     agrees at its last digit (but for three, each explained); torques of this
//     program rose by up to 1 % against the sum, preloads fell by as much.
//   - By hand. Beside that stands a gentler torque, plain tension 0.6 of yield:
//     common practice for small pressure joints. A joint is judged with it unless
//     a utilisation is asked for. It is never more than a thread at friction 0.12
//     bears at 0.9 of yield: one that is called dry may be oily from the tap, and
//     3.5 N·m on an A2-70 M4 that is would be a third past yield.
//   - Two families of stainless tables. One is VDI 2230:2003 as used here; the
//     other the 1986 form (elastic section, exact tangent, head over its whole
//     flats down to the fine hole). The tests hold both, each by its own form.
//   - Heights of rescued threads. Limits for 60° threads come from practice on the
//     basic nut profile 1.0825 P and are turned into percent of 1.299 P. Where the
//     old thread's grooves stay under the new one, strength is the mean of that at
//     the hole and at the old root. A weak name takes the weakest reading:
//     unmarked stainless is class 50, copper is annealed.
//   - Height tells in strength. The area of FED-STD-H28 does not see the height of
//     the hole's thread, so a worn M4 at 55 % read as strong as a sound one. Two
//     published notes say what height does (60 to 72 %: a twentieth; 50 %: three
//     quarters); heightStrength draws straight lines between them. It counts in
//     the strength of a repair and in the torque of a measured hole. Below 0.75 a
//     repair is warned of, from 0.95 it counts as sound.
//   - Warm copper. Annealed copper follows the lower of two published lists of
//     stress allowed in tube (0.57 at 175 °C, 0.39 at 200 °C). Gunmetal, cast
//     bronze and brass follow the ratings of bronze valves (0.71 at 175 °C); the
//     workshop's 0.8 stays for wrought bronze, for which no table was found.
//   - The order of a rescue (rescue_order.go): a stop, a leak path in a hole that
//     is or may be wet, strength below 0.95 and below 0.75 of the sound thread, a
//     low or short thread, tools and families that are there (up to about the next
//     size), warnings round the hole, the kind of repair, the metal that goes.
//     Everything that counts is fixed or a consequence, so another figure changes
//     places only by what it says; a property test holds it. Twenty-six holes were
//     decided by hand first and stand as a test with their reasons. A hole wider
//     than the new thread's widest counts as about a size more metal; why the
//     first stands first, and what was passed over, is said.
//   - What lies whole under a new thread is that of its own drill, and the least
//     of it in a wet hole is 60 % of the full form for every form (57 % of 1.299 P
//     for 60° threads, which had 50 before: 5-44 UNF passed where 5 BA with more
//     did not).
//   - An edge from 0.95 diameters up is a note: VDI 2230's wall factor is 1 there.
//     Below it is a stop. As a warning it had outweighed leak paths.
//   - The last drill follows the first. Twice what the pilot is off the middle
//     comes off the last drill (drill_off), and the most it may be off is where
//     the pilot itself is as near the crests. Common practice's 0.15 of the
//     diameter alone would let pilots of 2 BA and others cut them.
package fastening
