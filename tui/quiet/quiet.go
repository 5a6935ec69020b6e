// Package quiet keeps a start-up query off the terminal.
//
// bubbletea v1 asks the terminal for its background colour in an init function.
// A terminal that does not answer holds every command up for five seconds and
// shows the escape codes. Answering the question first stops the query. Go
// initialises packages in import-path order once their imports are ready, so
// "fettle/tui/quiet" runs before "github.com/charmbracelet/bubbletea" as long
// as it imports nothing but lipgloss; a test on a mute terminal guards it.
package quiet

import "github.com/charmbracelet/lipgloss"

func init() {
	lipgloss.SetHasDarkBackground(true)
}
