package tui

import (
	"strings"
	"unicode"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
)

// fieldLimit is the longest text a field takes, in bytes.
const fieldLimit = 2000

// field is one line of text being typed.
type field struct {
	text string
	at   int // byte offset of the cursor
	// only, where it is set, tells which runes belong here. A message that
	// holds any other rune is refused whole: half of a stray terminal report
	// must not end up as part of a measured value.
	only func(rune) bool
}

func (f *field) set(s string) { f.text, f.at = s, len(s) }

// insert puts s at the cursor; false means that s was refused.
func (f *field) insert(s string) bool {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case r == utf8.RuneError || unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, s)
	if s == "" || len(f.text)+len(s) > fieldLimit {
		return false
	}
	if f.only != nil {
		for _, r := range s {
			if !f.only(r) {
				return false
			}
		}
	}
	f.text = f.text[:f.at] + s + f.text[f.at:]
	f.at += len(s)
	return true
}

// erase removes the rune before the cursor.
func (f *field) erase() {
	_, n := utf8.DecodeLastRuneInString(f.text[:f.at])
	f.text = f.text[:f.at-n] + f.text[f.at:]
	f.at -= n
}

// key takes a key message; false means that it is none of the field's.
func (f *field) key(k tea.KeyMsg) bool {
	switch k.Type {
	case tea.KeyRunes, tea.KeySpace:
		if k.Alt {
			return false
		}
		f.insert(string(k.Runes))
		return true
	}
	switch k.String() {
	case "backspace":
		f.erase()
	case "delete":
		_, n := utf8.DecodeRuneInString(f.text[f.at:])
		f.text = f.text[:f.at] + f.text[f.at+n:]
	case "left":
		_, n := utf8.DecodeLastRuneInString(f.text[:f.at])
		f.at -= n
	case "right":
		_, n := utf8.DecodeRuneInString(f.text[f.at:])
		f.at += n
	case "home", "ctrl+a":
		f.at = 0
	case "end", "ctrl+e":
		f.at = len(f.text)
	case "ctrl+u":
		f.text, f.at = f.text[f.at:], 0
	case "ctrl+w":
		left := strings.TrimRight(f.text[:f.at], " ")
		left = left[:strings.LastIndexByte(left, ' ')+1]
		f.text = left + f.text[f.at:]
		f.at = len(left)
	default:
		return false
	}
	return true
}

// measured tells which runes can stand in a measured value or the name of a
// size: "4.5 mm", "1 1/4 in", "1/4\"", "No 30", "#30", "-0.5 °C", "4,5", "2 N·m",
// and a time, "19:05".
func measured(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(` .,:/-+#"'%·²³°×*()`, r)
}
