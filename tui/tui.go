// Package tui is the bench screen.
package tui

import (
	_ "fettle/tui/quiet"

	tea "github.com/charmbracelet/bubbletea"
)

var _ tea.Model
