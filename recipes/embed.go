// Package recipes holds the bundled procedures: one TOML file each, written
// for any engine, with everything that differs between engines as a setting.
package recipes

import (
	"embed"
	"io/fs"
)

//go:embed *.toml shared/*.toml
var files embed.FS

//go:embed starters/*.toml
var starters embed.FS

//go:embed demo/bramble.toml
var demo string

// FS returns the bundled procedures, one .toml file each at its root, and the stages
// that they share in the folder shared. It is
// read-only, and the same on every call.
func FS() fs.FS { return files }

// Starters are the procedures to begin a new one from, one .toml file for each seal.
func Starters() fs.FS {
	inner, err := fs.Sub(starters, "starters")
	if err != nil {
		return starters // cannot be: the folder is embedded
	}
	return inner
}

// Demo is the story of the demo: a job on an invented engine half-way through a
// refit, for job.ReadStory. Everything in it is invented.
func Demo() []byte { return []byte(demo) }
