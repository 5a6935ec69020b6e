// Baseline links the libraries of the real program, prints one line and ends.
// A command of the real program is measured against it: what is left is ours.
package main

import (
	"fmt"

	_ "fettle/tui/quiet"

	_ "github.com/BurntSushi/toml"
	_ "github.com/charmbracelet/bubbles/key"
	_ "github.com/charmbracelet/bubbletea"
	_ "github.com/charmbracelet/lipgloss"
	_ "github.com/gofrs/flock"
	_ "github.com/spf13/cobra"
)

func main() { fmt.Println("baseline") }
