package tui

import (
	"fettle/tui/terminal"
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
)

func runes(s string) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)} }

func altKey(s string) tea.KeyMsg {
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s), Alt: true}
}

func newTestFilter() *terminal.Filter {
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	return &terminal.Filter{Now: func() time.Time { now = now.Add(time.Second); return now }}
}

func pass(f *terminal.Filter, msgs ...tea.Msg) (out []tea.Msg) {
	for _, m := range msgs {
		if got := f.Pass(nil, m); got != nil {
			out = append(out, got)
		}
	}
	return out
}

// torn is what bubbletea makes of a mouse report that arrives in pieces: ESC [
// becomes alt+[ and the rest runs of runes.
func torn(report string, cuts ...int) (msgs []tea.Msg) {
	rest := strings.TrimPrefix(report, "\x1b[")
	msgs = append(msgs, altKey("["))
	from := 0
	for _, c := range append(cuts, len(rest)) {
		if c > from {
			msgs = append(msgs, runes(rest[from:c]))
			from = c
		}
	}
	return msgs
}

func TestTornTapIsPutTogether(t *testing.T) {
	report := "\x1b[<0;125;7M"
	want := tea.MouseMsg{X: 124, Y: 6, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft}
	body := len(report) - 2
	for a := 0; a <= body; a++ {
		for b := a; b <= body; b++ {
			got := pass(newTestFilter(), torn(report, a, b)...)
			require.Equal(t, []tea.Msg{want}, got, "cut at %d and %d", a, b)
		}
	}
	// The ESC alone came before and was taken for the key; what follows is no text.
	require.Equal(t, []tea.Msg{want}, pass(newTestFilter(), runes("[<0;125;7M")))
	require.Equal(t, []tea.Msg{want}, pass(newTestFilter(), runes("[<0;1"), runes("25;7M")))
}

func TestTornReportsOfEveryKind(t *testing.T) {
	for report, want := range map[string]tea.MouseMsg{
		"<0;3;4m":  {X: 2, Y: 3, Action: tea.MouseActionRelease, Button: tea.MouseButtonLeft},
		"<2;3;4M":  {X: 2, Y: 3, Action: tea.MouseActionPress, Button: tea.MouseButtonRight},
		"<32;3;4M": {X: 2, Y: 3, Action: tea.MouseActionMotion, Button: tea.MouseButtonLeft},
		"<64;3;4M": {X: 2, Y: 3, Action: tea.MouseActionPress, Button: tea.MouseButtonWheelUp},
		"<65;3;4M": {X: 2, Y: 3, Action: tea.MouseActionPress, Button: tea.MouseButtonWheelDown},
	} {
		require.Equal(t, []tea.Msg{want}, pass(newTestFilter(), torn("\x1b["+report, 2)...), report)
	}
	require.Empty(t, pass(newTestFilter(), altKey("["), runes("M !!")), "older form of report")
}

func TestTypedTextIsLeftAlone(t *testing.T) {
	for _, msg := range []tea.Msg{
		runes("4.5"), runes("<"), runes("["), runes("1/4 x 40"), runes("[<"), runes("M4"), runes(";5M"),
		tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("[<0;12;5M"), Paste: true},
		tea.KeyMsg{Type: tea.KeyEsc}, tea.KeyMsg{Type: tea.KeyEnter}, altKey("x"),
		tea.WindowSizeMsg{Width: 80, Height: 24},
	} {
		require.Equal(t, []tea.Msg{msg}, pass(newTestFilter(), msg), "%#v", msg)
	}
	f := newTestFilter()
	pass(f, altKey("["), runes("<0;12")) // torn off for good
	require.Equal(t, []tea.Msg{tea.KeyMsg{Type: tea.KeyEnter}, runes("7")}, pass(f, tea.KeyMsg{Type: tea.KeyEnter}, runes("7")))
}

func TestWheelFloodIsThinned(t *testing.T) {
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	f := &terminal.Filter{Now: func() time.Time { return now }}
	wheel := tea.MouseMsg{Action: tea.MouseActionPress, Button: tea.MouseButtonWheelDown}
	through := 0
	for range 1000 { // one second of a flood of a thousand
		through += len(pass(f, wheel))
		now = now.Add(time.Millisecond)
	}
	require.InDelta(t, 84, through, 2)
	tap := tea.MouseMsg{Action: tea.MouseActionPress, Button: tea.MouseButtonLeft}
	require.Len(t, pass(f, tap, tap, tap), 3, "taps are never thinned")
}

func FuzzFilterNeverTypesAReport(f *testing.F) {
	f.Add(uint16(0), uint16(12), uint16(5), uint8(1), uint8(3), true)
	f.Add(uint16(64), uint16(999), uint16(1), uint8(5), uint8(9), false)
	f.Fuzz(func(t *testing.T, code, x, y uint16, a, b uint8, press bool) {
		end := "m"
		if press {
			end = "M"
		}
		report := fmt.Sprintf("\x1b[<%d;%d;%d%s", code%256, x, y, end)
		body := len(report) - 2
		cuts := []int{int(a) % (body + 1), int(b) % (body + 1)}
		if cuts[0] > cuts[1] {
			cuts[0], cuts[1] = cuts[1], cuts[0]
		}
		for _, msg := range pass(newTestFilter(), torn(report, cuts...)...) {
			if k, ok := msg.(tea.KeyMsg); ok {
				t.Fatalf("%q cut at %v typed %q", report, cuts, k)
			}
		}
	})
}

func TestRestOfASequenceIsWaitedFor(t *testing.T) {
	for _, whole := range []string{"", "a", "4.5", "\x1b[A", "\x1bOP", "\x1b[<0;12;5M", "\x1b[<0;12;5m", "é", "漢", "\x1bx",
		"\x1b[M !!", "\x1b[200~text\x1b[201~", "abc\x1b[5~"} {
		require.Zero(t, terminal.RestWait([]byte(whole)), "%q is whole", whole)
	}
	for _, part := range []string{"\x1b", "\x1b[", "\x1b[<", "\x1b[<0;12", "\x1b[<0;12;5", "\x1bO", "a\x1b", "\x1b[M ",
		"\x1b[20", "\xe6", "\xe6\xbc", "a\xc3"} {
		require.NotZero(t, terminal.RestWait([]byte(part)), "%q goes on", part)
	}
	require.Less(t, terminal.RestWait([]byte("\x1b")), terminal.RestWait([]byte("\x1b[<")), "a lone Esc is a key soon")
	require.Zero(t, terminal.RestWait([]byte("\x1b["+strings.Repeat("1;", 40))), "no sequence is that long")
}

// Enter held over a line that stood still comes in one piece and is no answer to
// what has come up meanwhile.
func TestHeldEnterInOneRead(t *testing.T) {
	for _, c := range []struct {
		last      byte
		in, out   string
		lastAfter byte
	}{
		{0, "\r", "\r", '\r'},
		{'\r', "\r", "\r", '\r'}, // one by one is what a hand does
		{'\r', "\r\r", "", '\r'},
		{'\r', "\r\r\r\r\r", "", '\r'},
		{'a', "\r\r\r", "\r", '\r'},
		{'\r', "\r\rx\r", "x\r", '\r'},
		{'\r', "4.5\r", "4.5\r", '\r'},
		{'\r', "aa\r\rbb", "aa\rbb", 'b'},
		{'\r', "", "", '\r'},
	} {
		out, last := terminal.Held([]byte(c.in), c.last)
		require.Equal(t, c.out, string(out), "%q after %q", c.in, c.last)
		require.Equal(t, c.lastAfter, last, "%q after %q", c.in, c.last)
	}
}

// A key with a name that comes in two reads is that key and no letter.
func TestTornKeysArePutTogether(t *testing.T) {
	for rest, want := range map[string]tea.KeyType{
		"[A": tea.KeyUp, "[D": tea.KeyLeft, "OC": tea.KeyRight, "[H": tea.KeyHome, "[3~": tea.KeyDelete, "[6~": tea.KeyPgDown, "OP": tea.KeyF1, "[19~": tea.KeyF8,
	} {
		// ESC and the sign after it came first, or the ESC alone.
		require.Equal(t, []tea.Msg{tea.KeyMsg{Type: want}}, withoutAlt(pass(newTestFilter(), altKey(rest[:1]), runes(rest[1:]))), rest)
		if rest[0] == 'O' {
			continue // words begin with it
		}
		require.Equal(t, []tea.Msg{tea.KeyMsg{Type: tea.KeyEsc}, tea.KeyMsg{Type: want}}, pass(newTestFilter(), tea.KeyMsg{Type: tea.KeyEsc}, runes(rest)), rest)
	}
	// Typed by a hand, letter by letter or after another key.
	for _, msgs := range [][]tea.Msg{
		{tea.KeyMsg{Type: tea.KeyEsc}, runes("["), runes("A")},
		{runes("[A")},
		{tea.KeyMsg{Type: tea.KeyEsc}, runes("A")},
		{tea.KeyMsg{Type: tea.KeyEsc}, runes("OA")},
		{tea.KeyMsg{Type: tea.KeyEsc}, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("[A"), Paste: true}},
		{tea.KeyMsg{Type: tea.KeyEsc}, tea.KeyMsg{Type: tea.KeyEnter}, runes("OA")},
	} {
		require.Equal(t, msgs, pass(newTestFilter(), msgs...))
	}
}

// withoutAlt leaves out what means nothing: alt and a sign.
func withoutAlt(msgs []tea.Msg) (out []tea.Msg) {
	for _, msg := range msgs {
		if k, ok := msg.(tea.KeyMsg); !ok || !k.Alt {
			out = append(out, msg)
		}
	}
	return out
}
