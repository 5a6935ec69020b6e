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
package threads
