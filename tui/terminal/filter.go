package terminal

import (
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// A mouse report is ESC [ < button ; column ; row M. Over a slow line it may
// come in two reads; bubbletea then takes the first half for alt+[ and the
// rest for typed text. inputFilter stands before Update, puts such a report
// together again and lets nothing of it through as text. An arrow or another key
// with a name, which is ESC [ or ESC O and a little more, is mended likewise. It thins out
// floods of wheel messages, which would hold typing up.
type Filter struct {
	Now   func() time.Time
	part  string // what has arrived of a report, beginning with "[<"
	open  bool   // "ESC [" was seen
	lead  string // "[", "O" or "ESC" where that alone came before
	wheel time.Time
}

// wheelPause is the shortest time between two wheel steps that both count.
const wheelPause = 12 * time.Millisecond

// The two shapes of a mouse report that lost its escape, compiled when the
// first one is met: commands that draw nothing should not pay for them.
var (
	reportWhole = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^\[<(\d{1,4});(\d{1,5});(\d{1,5})([Mm])`)
	})
	reportPart = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^\[<[\d;]{0,18}$`)
	})
)

// pass returns what Update is to see of msg, nil for nothing.
func (f *Filter) Pass(_ tea.Model, msg tea.Msg) tea.Msg {
	switch msg := msg.(type) {
	case tea.MouseMsg:
		f.open, f.part = false, ""
		return f.mouse(msg)
	case tea.KeyMsg:
		return f.key(msg)
	}
	return msg
}

func (f *Filter) mouse(msg tea.MouseMsg) tea.Msg {
	if !tea.MouseEvent(msg).IsWheel() {
		return msg
	}
	now := f.Now()
	if gap := now.Sub(f.wheel); gap >= 0 && gap < wheelPause {
		return nil
	}
	f.wheel = now
	return msg
}

func (f *Filter) key(msg tea.KeyMsg) tea.Msg {
	lead := f.lead
	f.lead = ""
	switch {
	case msg.Type == tea.KeyEsc:
		f.lead = "ESC"
	case msg.Alt && !msg.Paste && (string(msg.Runes) == "[" || string(msg.Runes) == "O"):
		f.lead = string(msg.Runes)
	case lead != "" && msg.Type == tea.KeyRunes && !msg.Alt && !msg.Paste:
		text := string(msg.Runes)
		if lead != "ESC" {
			text = lead + text
		}
		if k, ok := tornKey(text); ok && text[0] == '[' || ok && lead == "O" {
			f.open, f.part = false, ""
			return tea.KeyMsg{Type: k}
		}
	}
	if msg.Paste {
		f.open, f.part = false, ""
		return msg
	}
	text := string(msg.Runes)
	switch {
	case msg.Type != tea.KeyRunes:
		f.open, f.part = false, ""
		return msg
	case msg.Alt && text == "[":
		f.open, f.part = true, ""
		return nil
	case msg.Alt:
		f.open, f.part = false, ""
		return msg
	case f.part != "":
		text = f.part + text
	case f.open:
		text = "[" + text
	}
	// Without "ESC [" before it only "[<" and a digit can be a report whose
	// ESC came alone; a person does not type that in one message.
	stray := !f.open && f.part == "" && !(len(text) > 2 && strings.HasPrefix(text, "[<"))
	wasOpen := f.open
	f.open, f.part = false, ""
	if stray {
		return msg
	}
	if m := reportWhole().FindStringSubmatch(text); m != nil {
		return f.report(m)
	}
	if reportPart().MatchString(text) {
		f.part = text
		return nil
	}
	if wasOpen && strings.HasPrefix(text, "[M") {
		return nil // the older form of report: three more characters
	}
	return msg
}

// tornKey is the key whose sequence lost its ESC. Where the ESC was taken for a
// key of its own, only what comes in one piece can be the rest of one.
func tornKey(text string) (tea.KeyType, bool) {
	switch text {
	case "[A", "OA":
		return tea.KeyUp, true
	case "[B", "OB":
		return tea.KeyDown, true
	case "[C", "OC":
		return tea.KeyRight, true
	case "[D", "OD":
		return tea.KeyLeft, true
	case "[H", "OH", "[1~", "[7~":
		return tea.KeyHome, true
	case "[F", "OF", "[4~", "[8~":
		return tea.KeyEnd, true
	case "[3~":
		return tea.KeyDelete, true
	case "[5~":
		return tea.KeyPgUp, true
	case "[6~":
		return tea.KeyPgDown, true
	case "[Z":
		return tea.KeyShiftTab, true
	case "OP", "[11~":
		return tea.KeyF1, true
	case "OQ", "[12~":
		return tea.KeyF2, true
	case "OR", "[13~":
		return tea.KeyF3, true
	case "OS", "[14~":
		return tea.KeyF4, true
	case "[15~":
		return tea.KeyF5, true
	case "[17~":
		return tea.KeyF6, true
	case "[18~":
		return tea.KeyF7, true
	case "[19~":
		return tea.KeyF8, true
	}
	return 0, false
}

// report turns the parts of a whole report into the message bubbletea would
// have made of it.
func (f *Filter) report(m []string) tea.Msg {
	code, _ := strconv.Atoi(m[1])
	x, _ := strconv.Atoi(m[2])
	y, _ := strconv.Atoi(m[3])
	out := tea.MouseMsg{X: x - 1, Y: y - 1, Action: tea.MouseActionPress}
	switch {
	case code&64 != 0:
		out.Button = [4]tea.MouseButton{tea.MouseButtonWheelUp, tea.MouseButtonWheelDown,
			tea.MouseButtonWheelLeft, tea.MouseButtonWheelRight}[code&3]
		return f.mouse(out)
	case code&3 == 3:
		out.Button = tea.MouseButtonNone
	default:
		out.Button = [3]tea.MouseButton{tea.MouseButtonLeft, tea.MouseButtonMiddle, tea.MouseButtonRight}[code&3]
	}
	if m[4] == "m" {
		out.Action = tea.MouseActionRelease
	}
	if code&32 != 0 {
		out.Action = tea.MouseActionMotion
	}
	return out
}
