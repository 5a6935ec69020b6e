//go:build !unix

package terminal

import (
	"io"
	"os"
)

// OpenInput leaves the keyboard as it is: on this system key presses arrive as
// events of the console, not as bytes that can be torn apart.
func OpenInput(f *os.File, _ func()) io.Reader { return f }
