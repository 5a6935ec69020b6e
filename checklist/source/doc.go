// Package source reads a TOML text with its places: where every key and value
// stands, what is wrong with how it is written, in plain words, and how to show
// that to a person. It knows nothing of procedures.
//
// The text is read by a TOML library for its meaning and by a scanner of this
// package for its places, since the library does not tell them. Where the two
// disagree there is no place rather than a wrong one. What is read is bounded in
// size and nesting before the library sees it, and nothing that could act on a
// terminal comes out of it.
package source
