//go:build unix

package terminal

import (
	"os"
	"syscall"
)

// hangupSignals are the signals of a terminal that went away. bubbletea itself
// handles only SIGINT and SIGTERM.
func HangupSignals() []os.Signal { return []os.Signal{syscall.SIGHUP} }
