// Package quantity holds the measured quantities of the workshop as typed
// numbers: a length is never mistaken for a pressure, and every one of them
// reads what a person writes and prints what a person reads.
//
// Each type is a float64 in one unit, named in its comment. ParseX reads text
// (units, fractions, comma or point), String prints it rounded by the type's
// own rule, and Round applies that rule to the number. Text that cannot be
// read gives a *ParseError; no input makes a parser panic.
package quantity
