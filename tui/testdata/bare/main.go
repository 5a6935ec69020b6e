// Bare is the least bubbletea program: the baseline for how soon the bench
// screen draws its first picture.
package main

import (
	"os"

	_ "fettle/tui/quiet"

	tea "github.com/charmbracelet/bubbletea"
)

type model struct{ w int }

func (m model) Init() tea.Cmd { return nil }

func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if size, ok := msg.(tea.WindowSizeMsg); ok {
		m.w = size.Width
	}
	return m, nil
}

func (m model) View() string {
	if m.w == 0 {
		return ""
	}
	return "fettle"
}

func main() {
	if _, err := tea.NewProgram(model{}, tea.WithAltScreen(), tea.WithMouseCellMotion()).Run(); err != nil {
		os.Exit(1)
	}
}
