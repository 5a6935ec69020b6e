//go:build !unix

package terminal

import "os"

// HangupSignals is empty: this system tells a program in another way that its
// window was closed, and bubbletea handles that.
func HangupSignals() []os.Signal { return nil }
