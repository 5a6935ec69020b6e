// Package threads knows the screw threads met in a workshop that repairs
// miniature steam locomotives: their forms and sizes, the holes and drills they
// need, the heads, nuts and spanners that go with them, their limits of size,
// and how to name and recognise one.
//
// Everything that a standard gives as a rule is computed from the rule;
// everything it gives as a table stands here as that table, with its source. A
// figure for which no source is at hand is absent, never guessed. Sums take and
// give the typed quantities of threads/quantity, keep no state and read no
// files.
//
// # Decisions
//
//   - A tapping drill keeps the hole's limits. Where the limits of the minor
//     diameter are known and a stock drill lies within them, the recommended one
//     does too, however near to 75 % another lies: G 1/8 takes 8.8 mm (80 %), not
//     8.9 mm (71 %), whose hole is over ISO 228-1. A metric drill inside goes
//     before a fraction. ISO metric stays with ISO 2306, which is the standard's
//     own word; a target typed in goes before the limits. 2 BA (4.0 mm) and the ME
//     sizes, which have no limits, are as they were. Rp takes the first metric
//     drill from its basic minor diameter up, as an encyclopaedia's table does; Rc
//     the drill nearest to full form half-way along the useful thread, common
//     practice without a source. R is cut on the outside and has none.
//   - BSW and BSF have limits. BS 84, medium class, by its tolerance formulas as a
//     public transcription has them; its tables were not at hand. The check is
//     independent: every published drill of BS 1157 lies within the hole's limits,
//     most just below the upper one, and with the limits the recommended drill is
//     that of BS 1157 wherever the stock has it (before, five were a step larger).
//     The same thread under a trade name (1/4 x 26 brass) has no standard and
//     keeps the drill nearest to 75 %. The allowance for plating on screws up to
//     3/4 in was not seen in print: it is left out and said.
//   - Taper pipe threads are tolerated by turns. One turn for R, one and a quarter
//     for Rc; Rp diameters a sixteenth of that. limits.external is null for Rp,
//     which has no screw of its own.
//   - Unified threads come a little later among those that fit a measurement: the
//     fittings are metric, BA, ME or Whitworth as a rule. 4.76 mm by 32 TPI is
//     3/16 x 32 before it is 10-32; 4.80 mm is 10-32.
//   - Threads of other trades. Cycle, NPT, trapezoidal, Acme and the metric sizes
//     outside ISO 261 are held, because they turn up and are taken for others. They
//     rank after a usual thread that fits as well, and no damaged hole is moved to
//     them. Where another thread that does not interchange fits too, Identify says
//     first that it cannot tell them apart. NPSM 1/8 and the tyre valve, whose sizes
//     are from memory, are named as strangers only: a figure nobody read is not
//     looked up.
package threads
