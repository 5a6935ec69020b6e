// Package quantity holds the measured quantities of the workshop as typed
// numbers: a length is never mistaken for a pressure, and every one of them
// reads what a person writes and prints what a person reads.
//
// Each type is a float64 in one unit, named in its comment. ParseX reads text
// (units, fractions, comma or point), String prints it rounded by the type's
// own rule, and Round applies that rule to the number. Text that cannot be
// read gives a *ParseError; no input makes a parser panic.
//
// # Decisions
//
//   - Bare numbers. A bare decimal length is millimetres, a bare vulgar fraction
//     is inches: that is how the trade writes them. Other quantities read their SI
//     workshop unit (°C, N, N·m, ml, MPa); pressure and time spans must say
//     theirs.
//   - psi first where psi was typed. quantity.PressureScale is the one rule: "189
//     psi (13.03 bar)", or bar as before. A procedure's test goes by how the test
//     pressure was typed, else the working pressure; the sheet by the latest
//     reading of the gauge, once there is one; a reading by its limits, and then a
//     figure without a unit is refused when it is typed (what is in a log counts
//     as it did). Standard gauge scales stay in bar, as EN 837-1 has them.
package quantity
