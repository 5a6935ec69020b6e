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
package fastening
