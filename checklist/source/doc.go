// Package source reads a TOML text with its places: where every key and value
// stands, what is wrong with how it is written, in plain words, and how to show
// that to a person. It knows nothing of procedures.
//
// The text is read by a TOML library for its meaning and by a scanner of this
// package for its places, since the library does not tell them. Where the two
// disagree there is no place rather than a wrong one. What is read is bounded in
// size and nesting before the library sees it, and nothing that could act on a
// terminal comes out of it.
//
// # Decisions
//
//   - Reading on. The library stops at the first mistake of writing. The line is then
//     replaced by what was probably meant, told from a list of habits, or by nothing,
//     and the whole is parsed again; every place is shown in the text as it was written.
//     The library stays the judge of what is TOML, so nothing is accepted that it does
//     not accept.
//   - What only follows from a line that was passed over is not said: a key that may
//     have stood in it, a name that it may have given.
//   - Certain is what a habit turns into TOML in one way only. A text that does not end
//     is closed to read on, and is left to whoever wrote it.
package source
