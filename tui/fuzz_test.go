package tui

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// FuzzScreen throws keys, text, taps, torn reports, resizes and clock ticks at
// the program in any order: it must not panic, and every picture must have the
// size of its screen.
func FuzzScreen(f *testing.F) {
	f.Add([]byte("\x00\x00\x00\x01\x01"))
	f.Add([]byte("Ana\r\r\rBramble\rs\r\r\r\r"))
	f.Add([]byte("Ana\rt2ba\x1bc\x84\x84\x84\rM4\r"))
	f.Add([]byte("Ana\r\r\x84\r95 psi\r\xf0\x10\x10\xf0\x80\x20\xe0\x28\x14\xe0\xff\xff"))
	special := []tea.KeyType{tea.KeyEnter, tea.KeyEsc, tea.KeyUp, tea.KeyDown, tea.KeyLeft, tea.KeyRight, tea.KeyPgUp, tea.KeyPgDown,
		tea.KeyHome, tea.KeyEnd, tea.KeyTab, tea.KeyShiftTab, tea.KeyBackspace, tea.KeyDelete, tea.KeyCtrlT, tea.KeyCtrlU, tea.KeyCtrlW,
		tea.KeyCtrlF, tea.KeyCtrlN, tea.KeyCtrlO, tea.KeyCtrlR, tea.KeyF1, tea.KeyF2, tea.KeyF3, tea.KeyF4, tea.KeyF6}
	f.Fuzz(func(t *testing.T, script []byte) {
		if len(script) > 200 {
			return
		}
		b := newBench(t, 80, 24)
		at := func(i int) int {
			if i < len(script) {
				return int(script[i])
			}
			return 0
		}
		for i := 0; i < len(script) && !b.quit; i++ {
			switch c := at(i); {
			case c == '\r':
				b.send(tea.KeyMsg{Type: tea.KeyEnter})
			case c == 0x1b:
				b.send(tea.KeyMsg{Type: tea.KeyEsc})
			case c >= 0x20 && c < 0x7f:
				k := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{rune(c)}}
				if c == ' ' {
					k.Type = tea.KeySpace
				}
				b.send(k)
			case c < 0x20:
				b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("漢\u202e\x00" + string(rune(c)))})
			case c >= 0x80 && c < 0x80+len(special):
				b.send(tea.KeyMsg{Type: special[c-0x80]})
			case c >= 0xe0 && c < 0xf0:
				b.send(tea.WindowSizeMsg{Width: at(i + 1), Height: at(i+2) % 80})
				i += 2
			case c >= 0xf0 && c < 0xfc:
				b.send(tea.MouseMsg{X: at(i + 1), Y: at(i+2) % 60, Action: tea.MouseActionPress, Button: tea.MouseButton(c - 0xef)})
				i += 2
			case c == 0xfd:
				b.send(clockMsg{})
			case c == 0xfe:
				b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(string(script[:i])), Paste: true})
			default:
				b.keys("ctrl+z")
			}
		}
	})
}
