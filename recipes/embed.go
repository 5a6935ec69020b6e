// Package recipes holds the bundled procedures: one TOML file each, written
// for any engine, with everything that differs between engines as a setting.
package recipes

import (
	"embed"
	"io/fs"
)

//go:embed *.toml
var files embed.FS

// FS returns the bundled procedures, one .toml file each at its root. It is
// read-only, and the same on every call.
func FS() fs.FS { return files }
