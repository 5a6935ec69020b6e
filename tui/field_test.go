package tui

import (
	"strings"
	"testing"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
)

func TestFieldEdits(t *testing.T) {
	var f field
	key := func(ks ...tea.KeyMsg) {
		for _, k := range ks {
			require.True(t, f.key(k), "%v", k)
		}
	}
	key(runes("4.7"), runes("6 mm"))
	require.Equal(t, "4.76 mm", f.text)
	key(tea.KeyMsg{Type: tea.KeyHome}, tea.KeyMsg{Type: tea.KeyDelete}, runes("5"))
	require.Equal(t, "5.76 mm", f.text)
	key(tea.KeyMsg{Type: tea.KeyEnd}, tea.KeyMsg{Type: tea.KeyCtrlW}, tea.KeyMsg{Type: tea.KeyBackspace})
	require.Equal(t, "5.76", f.text)
	key(tea.KeyMsg{Type: tea.KeyLeft}, tea.KeyMsg{Type: tea.KeyCtrlU})
	require.Equal(t, "6", f.text)
	key(runes("é"), tea.KeyMsg{Type: tea.KeyBackspace})
	require.Equal(t, "6", f.text)
	require.False(t, f.key(tea.KeyMsg{Type: tea.KeyEnter}))
	require.False(t, f.key(tea.KeyMsg{Type: tea.KeyUp}))
}

func TestFieldRefusesAWholeMessage(t *testing.T) {
	f := field{only: measured}
	f.set("12.5")
	for _, stray := range []string{"<0;12", ";5M", "[<0;12;5M", "4\x1b[A<"} {
		f.insert(stray)
		require.Equal(t, "12.5", f.text, "%q", stray)
	}
	for _, good := range []string{"1 1/4 in", "1/4\"", "No 30", "#30", "4,5", "-0.5 °C", "2 N·m", "5 thou"} {
		f.set("")
		require.True(t, f.insert(good), good)
		require.Equal(t, good, f.text)
	}
}

func TestFieldTakesAPasteAsOneLine(t *testing.T) {
	var f field
	f.insert("two\r\nlines\tand \x1b[31mcolour\u202e")
	require.Equal(t, "two  lines and [31mcolour", f.text)
	f.insert(strings.Repeat("x", fieldLimit))
	require.Less(t, len(f.text), fieldLimit, "too long a paste is refused")
}

func FuzzField(f *testing.F) {
	f.Add("4.5 mm", uint8(3))
	f.Add("漢字\xff\x00", uint8(200))
	f.Fuzz(func(t *testing.T, s string, moves uint8) {
		var fd field
		keys := []tea.KeyType{tea.KeyLeft, tea.KeyRight, tea.KeyBackspace, tea.KeyDelete, tea.KeyCtrlW, tea.KeyCtrlU, tea.KeyHome, tea.KeyEnd}
		for i := range int(moves) {
			if i%3 == 0 {
				fd.key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)})
			}
			fd.key(tea.KeyMsg{Type: keys[(i*7+int(moves))%len(keys)]})
			if fd.at < 0 || fd.at > len(fd.text) || !utf8.ValidString(fd.text) {
				t.Fatalf("cursor %d in %q", fd.at, fd.text)
			}
		}
	})
}
