//go:build !unix

package tui

import "os"

// hangupSignals is empty: this system tells a program in another way that its
// window was closed, and bubbletea handles that.
func hangupSignals() []os.Signal { return nil }
