//go:build !unix

package tui

import (
	"io"
	"os"
)

// openInput leaves the keyboard as it is: on this system key presses arrive as
// events of the console, not as bytes that can be torn apart.
func openInput(f *os.File, _ func()) io.Reader { return f }
