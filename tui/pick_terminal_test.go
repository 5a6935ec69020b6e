//go:build linux

package tui

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// On a real terminal the size of a phone, by taps alone: a torque for a thread
// that is picked by family and size and a grade that is picked from a list over
// several pages; the answer stands in sight all the while.
func TestPickOnARealTerminal(t *testing.T) {
	x := newTmux(t)
	x.start(40, 20, plainly)
	x.sees("START A NEW JOB")
	x.keys("z", "c") // rows for fingers from the first tap on
	x.sees("How hard a screw")
	h := tapsOnly{}
	h.tap(x, "Torque")
	x.sees("still needed: Thread")
	h.tap(x, "Thread ·")
	x.sees("pick a family")
	h.tap(x, "26 brass")
	x.sees("mm over, then TPI")
	x.tapKey("More 1/2")
	x.sees("More 2/2")
	x.tapKey("More 2/2")
	x.sees("More 1/2")
	h.tap(x, "1/4 x 26")
	x.sees("still needed: Screw made of")
	h.tap(x, "Screw made of ·")
	x.sees("letters typed narrow the list")
	for range 4 {
		s := x.screen()
		if _, _, ok := find(s, "mild steel"); ok {
			break
		}
		h.tap(x, "▾")
		x.changed(s)
	}
	h.tap(x, "mild steel")
	require.Contains(t, x.sees("· mild steel"), "by hand ")
}
