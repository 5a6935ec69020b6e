package paint

import (
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Ink names what a piece of text is, not how it looks. No meaning hangs on an
// ink alone: a word or a glyph always stands beside it.
type Ink uint8

const (
	InkPlain   Ink = iota
	InkStrong      // what to read first
	InkQuiet       // what may be overlooked
	InkBrand       // the accent: marks, rules, the place in a list
	InkMain        // the button most likely pressed next
	InkKey         // the key that does the same as a button
	InkDone        // finished, within limits
	InkWrong       // not within limits, not saved
	InkWarning     // the label of a warning: a person may be hurt
	InkCaution     // the label of a caution: the work may be harmed
	InkNote        // the label of a note
	InkField       // what is being typed
	inkCount
)

// pen is what switches an ink on and off.
type pen struct {
	open, close string
	unseen      bool // a blank drawn with it looks like one in plain ink
}

// border is a set of lines around a rectangle.
type border struct {
	TopLeft, TopRight, BottomLeft, BottomRight, Across, Down string
}

// glyphs are the drawn characters, one cell each.
type glyphs struct {
	Todo, Later, Here, Done, Skipped, Waiting, Held, Busy string
	Warn                                                  string
	Up, Down, Left, Right                                 string
	Bar, Rule, Heavy, Place, Dots                         string
	Cut                                                   string
	hatch                                                 string
	Thin, Thick, Corner, Square                           border
	Halves                                                bool // block characters for big figures
}

// Look is how everything is drawn on one terminal: its pens and its glyphs.
// It is built from an explicit renderer, so that two screens of one process may
// differ and a test decides its own colours.
type Look struct {
	pens  [inkCount]pen
	G     glyphs
	ascii bool
}

// Theme is a set of colours.
type Theme bool

const (
	Calm     Theme = false // the terminal's own ground, a few mid tones
	sunlight Theme = true  // black on white with strong colours, whatever the terminal's ground
)

func NewLook(r *lipgloss.Renderer, ascii bool, th Theme) *Look {
	styles := calmStyles(r)
	if th == sunlight {
		styles = sunlightStyles(r)
	}
	l := &Look{ascii: ascii, G: drawnGlyphs()}
	if ascii {
		l.G = asciiGlyphs()
	}
	for i, st := range styles {
		// Lip Gloss writes the codes once; frames are then put together from
		// them without rendering thousands of small styles.
		open, end, _ := strings.Cut(st.Render("x"), "x")
		unseen := !st.GetReverse() && !st.GetUnderline() && st.GetBackground() == styles[InkPlain].GetBackground()
		l.pens[i] = pen{open, end, unseen}
	}
	return l
}

func drawnGlyphs() glyphs {
	return glyphs{
		Todo: "○", Later: "·", Here: "›", Done: "●", Skipped: "–", Waiting: "◔", Held: "■", Busy: "…",
		Warn: "!",
		Up:   "▴", Down: "▾", Left: "‹", Right: "›",
		Bar: "▌", Rule: "─", Heavy: "━", Place: "╋", Dots: "·",
		Cut:    "…",
		hatch:  "╱",
		Thin:   border{"╭", "╮", "╰", "╯", "─", "│"},
		Thick:  border{"┏", "┓", "┗", "┛", "━", "┃"},
		Corner: border{"╭", "╮", "╰", "╯", " ", " "},
		Square: border{"┌", "┐", "└", "┘", "─", "│"},
		Halves: true,
	}
}

func asciiGlyphs() glyphs {
	return glyphs{
		Todo: "o", Later: ".", Here: ">", Done: "*", Skipped: "/", Waiting: "~", Held: "#", Busy: "~",
		Warn: "!",
		Up:   "^", Down: "v", Left: "<", Right: ">",
		Bar: "|", Rule: "-", Heavy: "=", Place: "#", Dots: ".",
		Cut:    "~",
		hatch:  "/",
		Thin:   border{".", ".", "'", "'", "-", "|"},
		Thick:  border{"#", "#", "#", "#", "=", "#"},
		Corner: border{" ", " ", " ", " ", " ", " "},
		Square: border{"+", "+", "+", "+", "-", "|"},
	}
}

// calmStyles are mid tones that stand on a dark and on a light ground alike;
// running text keeps the terminal's own colours.
func calmStyles(r *lipgloss.Renderer) [inkCount]lipgloss.Style {
	var (
		brass  = lipgloss.Color("#b98a2f")
		slate  = lipgloss.Color("#808a93")
		green  = lipgloss.Color("#3f9a5f")
		red    = lipgloss.Color("#d1453b")
		yellow = lipgloss.Color("#e3b62f")
		blue   = lipgloss.Color("#3d7fb5")
		black  = lipgloss.Color("#101010")
		white  = lipgloss.Color("#ffffff")
	)
	s := r.NewStyle
	return [inkCount]lipgloss.Style{
		InkPlain:   s(),
		InkStrong:  s().Bold(true),
		InkQuiet:   s().Foreground(slate),
		InkBrand:   s().Foreground(brass),
		InkMain:    s().Bold(true).Foreground(black).Background(brass),
		InkKey:     s().Foreground(brass),
		InkDone:    s().Foreground(green),
		InkWrong:   s().Bold(true).Foreground(red),
		InkWarning: s().Bold(true).Foreground(white).Background(red),
		InkCaution: s().Bold(true).Foreground(black).Background(yellow),
		InkNote:    s().Bold(true).Foreground(white).Background(blue),
		InkField:   s().Bold(true).Underline(true),
	}
}

// sunlightStyles paint their own white ground. Every pair of colours differs
// in lightness by at least 7 to 1.
func sunlightStyles(r *lipgloss.Renderer) [inkCount]lipgloss.Style {
	var (
		black  = lipgloss.Color("#000000")
		white  = lipgloss.Color("#ffffff")
		grey   = lipgloss.Color("#404040")
		brown  = lipgloss.Color("#5a3a00")
		green  = lipgloss.Color("#004d1f")
		red    = lipgloss.Color("#8b0000")
		yellow = lipgloss.Color("#ffd400")
		blue   = lipgloss.Color("#00307a")
	)
	on := func(fg, bg lipgloss.Color) lipgloss.Style { return r.NewStyle().Foreground(fg).Background(bg) }
	return [inkCount]lipgloss.Style{
		InkPlain:   on(black, white),
		InkStrong:  on(black, white).Bold(true),
		InkQuiet:   on(grey, white),
		InkBrand:   on(brown, white),
		InkMain:    on(white, black).Bold(true),
		InkKey:     on(brown, white),
		InkDone:    on(green, white).Bold(true),
		InkWrong:   on(red, white).Bold(true),
		InkWarning: on(white, red).Bold(true),
		InkCaution: on(black, yellow).Bold(true),
		InkNote:    on(white, blue).Bold(true),
		InkField:   on(black, white).Bold(true).Underline(true),
	}
}

// Clean makes any text safe to draw: control, format and direction characters
// never reach the terminal as themselves, tabs become spaces, and on an ASCII
// terminal other characters are spelled out.
func (l *Look) Clean(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] >= 0x7f {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	var b strings.Builder
	b.Grow(len(s))
	for i, r := range s {
		switch {
		case r == '\t':
			b.WriteString("    ")
		case r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < 0x7f && r >= 0x20:
			b.WriteRune(r)
		case unicode.Is(unicode.Cc, r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r),
			unicode.Is(unicode.Co, r), unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r):
		case r == utf8.RuneError:
			b.WriteByte('?')
		case l.ascii && r == '°':
			b.WriteString("deg")
			if next, _ := utf8.DecodeRuneInString(s[i+len("°"):]); unicode.IsLetter(next) {
				b.WriteByte(' ') // deg C
			}
		case l.ascii:
			b.WriteString(spelled(r))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// spelled is the ASCII form of a character.
func spelled(r rune) string {
	switch r {
	case 'µ', 'μ':
		return "u"
	case '×':
		return "x"
	case '÷':
		return "/"
	case '±':
		return "+/-"
	case '≤':
		return "<="
	case '≥':
		return ">="
	case '≈':
		return "~"
	case '½':
		return "1/2"
	case '¼':
		return "1/4"
	case '¾':
		return "3/4"
	case '⅛':
		return "1/8"
	case '–', '—', '−', '‑', '‐', '·', '•':
		return "-"
	case '…':
		return "..."
	case '→':
		return "->"
	case '‘', '’', '′':
		return "'"
	case '“', '”', '″':
		return `"`
	case '²':
		return "2"
	case '³':
		return "3"
	case 'Ø', 'ø', '⌀':
		return "dia "
	case '\u00a0', '\u2009', '\u202f':
		return " "
	}
	return "?"
}

// Short cuts s to w cells; a cut is marked.
func (l *Look) Short(s string, w int) string {
	s = l.Clean(s)
	if TextWidth(s) <= w {
		return s
	}
	if w <= 0 {
		return ""
	}
	used := 0
	for i, r := range s {
		n := CellWidth(r)
		if used+n > w-1 {
			return s[:i] + l.G.Cut
		}
		used += n
	}
	return s
}

// Wrap breaks s into lines of at most w cells, at spaces where there are any.
// Line breaks in s are kept.
func (l *Look) Wrap(s string, w int) []string {
	if w <= 0 {
		return nil
	}
	var lines []string
	for _, para := range strings.Split(strings.ReplaceAll(s, "\r\n", "\n"), "\n") {
		lines = append(lines, l.wrapLine(l.Clean(para), w)...)
	}
	return lines
}

func (l *Look) wrapLine(s string, w int) []string {
	words := strings.Fields(s)
	if len(words) == 0 {
		return []string{""}
	}
	var lines []string
	line, used := "", 0
	flush := func() {
		lines = append(lines, line)
		line, used = "", 0
	}
	for _, word := range words {
		n := TextWidth(word)
		if used > 0 && used+1+n <= w {
			line += " " + word
			used += 1 + n
			continue
		}
		if used > 0 {
			flush()
		}
		for n > w { // a word longer than the line is broken anywhere
			cut, cells := 0, 0
			for i, r := range word {
				c := CellWidth(r)
				if cells+c > w {
					break
				}
				cells += c
				cut = i + utf8.RuneLen(r)
			}
			if at := strings.LastIndexByte(word[:cut], '/'); at > 0 { // a path breaks between its folders
				cut = at + 1
			}
			if cut == 0 { // not even one rune fits
				cut = len(string([]rune(word)[0]))
				word = "?" + word[cut:]
				cut = 1
			}
			lines = append(lines, word[:cut])
			word = word[cut:]
			n = TextWidth(word)
		}
		line, used = word, n
	}
	if used > 0 || len(lines) == 0 {
		flush()
	}
	return lines
}

// PlainRenderer is a renderer without any colour.
func PlainRenderer() *lipgloss.Renderer {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.Ascii)
	return r
}

// Cursor is the sign for where typed text goes.
func (l *Look) Cursor() string {
	if l.ascii {
		return "|"
	}
	return "▏"
}

// Span is a piece of a line in one ink.
type Span struct {
	Ink  Ink
	Text string
}
