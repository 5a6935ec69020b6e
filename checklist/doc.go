// Package checklist reads procedure files, says everything that is wrong with
// them, and fills in the answers to their settings.
//
// A procedure is a TOML file written by hand (format 1, described by
// [Reference]). [Read] turns it into a [Procedure] and a list of [Diagnostics];
// [Procedure.Fill] answers its settings and works out every ${...}, which makes
// a [Filled]: what a job walks through and a screen shows.
//
// Files come from other people. Nothing in them can reach a terminal as a
// command, name a file outside, or run anything; size and nesting are limited
// (see [Read]).
package checklist
