// Package quiet keeps a start-up query off the terminal.
//
// bubbletea v1 asks the terminal for its background colour in an init function.
// A terminal that does not answer holds every command up for five seconds and
// shows the escape codes. Answering the question first stops the query. Go
// initialises packages in import-path order once their imports are ready, so
// "fettle/tui/quiet" runs before "github.com/charmbracelet/bubbletea" as long
// as it imports nothing but lipgloss; a test on a mute terminal guards it.
//
// # Decisions
//
//   - Start-up query. bubbletea v1 asks the terminal for its background in an init
//     function; a mute terminal costs five seconds per command. tui/quiet sorts
//     before it and answers first. It is a package of its own because it may
//     import only lipgloss. A pty test guards it.
package quiet

import "github.com/charmbracelet/lipgloss"

func init() {
	lipgloss.SetHasDarkBackground(true)
}
