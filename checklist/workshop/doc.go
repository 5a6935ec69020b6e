// Package workshop reads what a person has listed of their own tools: drills, taps
// and spanners, in a TOML file of theirs. Advice prefers them.
package workshop
