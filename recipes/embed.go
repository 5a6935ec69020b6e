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

//go:embed circuits/*.toml
var circuits embed.FS

//go:embed demo/bramble.toml
var demo string

// FS returns the bundled procedures, one .toml file each at its root, and the stages
// that they share in the folder shared. It is
// read-only, and the same on every call.
func FS() fs.FS { return files }

// Starters are the procedures to begin a new one from, one .toml file for each seal.
func Starters() fs.FS { return under(starters, "starters") }

// Circuits are the circuits of loss of the bundled boilers, one .toml file each: the
// paths by which water is lost, the places where it shows, the tests that tell.
func Circuits() fs.FS { return under(circuits, "circuits") }

func under(files embed.FS, folder string) fs.FS {
	inner, err := fs.Sub(files, folder)
	if err != nil {
		return files // cannot be: the folder is embedded
	}
	return inner
}

// Demo is the story of the demo: a job on an invented engine half-way through a
// refit, for job.ReadStory. Everything in it is invented.
func Demo() []byte { return []byte(demo) }
