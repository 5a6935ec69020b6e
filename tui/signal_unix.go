//go:build unix

package tui

import (
	"os"
	"syscall"
)

// hangupSignals are the signals of a terminal that went away. bubbletea itself
// handles only SIGINT and SIGTERM.
func hangupSignals() []os.Signal { return []os.Signal{syscall.SIGHUP} }
