// Package tui is the bench screen.
//
// One model (app.go) receives every message and holds a stack of screens,
// which are plain values: home, form, step, look-up, entry. A screen says what
// can be done on it (its acts) and draws itself; keys, buttons and help all
// come from the acts. After every message the model settles one picture
// (frame.go): layout (layout.go) divides the screen, the canvas (canvas.go)
// keeps it to size, and the places that can be pressed are noted while they
// are drawn, so that drawing and tapping cannot disagree.
//
// Update never touches the disk. Reading and saving are commands run by the
// keeper (work.go), one after the other; "Saved" is shown only when the job
// package has said so.
package tui

// quiet must come before bubbletea is initialised; see there.
import _ "fettle/tui/quiet"
