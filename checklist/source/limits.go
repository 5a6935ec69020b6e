package source

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// What a procedure file may be at most. A hand-written procedure stays a
// hundredfold below each of them; they keep a hostile or broken file from
// exhausting the program. The first four are looked at before the TOML parser
// sees the text, because it follows nesting by recursion and keeps the full
// path of every key.
const (
	MaxFile      = 8 << 20 // bytes; whoever opens a file reads no more
	MaxNesting   = 12      // arrays and inline tables inside each other
	maxKey       = 200     // bytes of one key or table name, dotted parts together
	maxKeyParts  = 8       // parts of one dotted key or table name
	MaxKeys      = 300_000 // keys and table names in the file
	MaxSteps     = 20_000
	MaxSettings  = 200
	MaxParts     = 200   // fasteners; seals; tests
	MaxList      = 200   // entries of one list
	MaxText      = 4_000 // characters of one text
	MaxLine      = 300   // characters of a text that stands on one line
	MaxExpanded  = 8_000 // bytes of one text after its ${...} are filled in
	maxReference = 50    // ${...} in one text
)

// limitError tells which limit a file breaks, and where.
type limitError struct {
	At      int // byte offset
	Message string
	Rule    string // empty for ruleLimit
}

// checkLimits looks for anything in src that must not reach the parser.
//
// It walks strings and comments as the parser's lexer does, so that what it
// counts as nesting is what the parser would follow: any text on which the two
// would disagree makes the parser stop with an error first, but for six or more
// quotes at the end of a multi-line string, which are therefore refused here.
func CheckLimits(src []byte) *limitError {
	if len(src) > MaxFile {
		return &limitError{0, fmt.Sprintf("the file has %d bytes, at most %d are read", len(src), MaxFile), ""}
	}
	for _, packed := range [...]struct{ head, what string }{
		{"PK\x03\x04", "a word processor's file"}, {"\xd0\xcf\x11\xe0", "a word processor's file"}, {"{\\rtf", "a text with its layout (RTF)"}, {"%PDF", "a page to print (PDF)"}, {"<!DOCTYPE", "a web page"}, {"<html", "a web page"},
	} {
		if bytes.HasPrefix(src, []byte(packed.head)) {
			return &limitError{0, "this is " + packed.what + ", and no plain text; save it as plain text, UTF-8, with a name that ends in .toml", RuleUnreadable}
		}
	}
	if bytes.HasPrefix(src, []byte("\xff\xfe")) || bytes.HasPrefix(src, []byte("\xfe\xff")) {
		return &limitError{0, "the file is UTF-16; save it as UTF-8", RuleUnreadable}
	}
	var (
		nesting  = 0
		keyStart = 0 // where a key under way can have started at the earliest
		parts    = 1
		keys     = 0
		heading  = false // inside [...] at the start of a line
		newLine  = true
	)
	for i := 0; i < len(src); i++ {
		c := src[i]
		switch c {
		case ' ', '\t', '\r':
			continue
		case '\n':
			newLine, heading = nesting == 0, false
			keyStart, parts = i+1, 1
			continue
		case '#':
			for i+1 < len(src) && src[i+1] != '\n' {
				i++
			}
			continue
		case '"', '\'':
			end, ok := quoted(src, i)
			if !ok {
				return &limitError{end, "six or more quotes in a row at the end of a text; put a space or an escape between them", RuleUnreadable}
			}
			i = end - 1
		case '[', '{':
			if newLine && c == '[' {
				heading = true
				keyStart, parts = i+1, 1
				break
			}
			if heading {
				break
			}
			nesting++
			if nesting > MaxNesting {
				return &limitError{i, fmt.Sprintf("arrays and tables are nested more than %d deep", MaxNesting), ""}
			}
			keyStart, parts = i+1, 1
		case ']', '}':
			if heading {
				keys++
				if i-keyStart > maxKey {
					return &limitError{keyStart, fmt.Sprintf("a table name is longer than %d bytes", maxKey), ""}
				}
				break
			}
			nesting = max(nesting-1, 0)
		case ',':
			keyStart, parts = i+1, 1
		case '.':
			if parts++; parts > maxKeyParts {
				return &limitError{i, fmt.Sprintf("a name has more than %d parts", maxKeyParts), ""}
			}
		case '=':
			keys++
			if i-keyStart > maxKey {
				return &limitError{keyStart, fmt.Sprintf("a key is longer than %d bytes", maxKey), ""}
			}
			keyStart, parts = i+1, 1
		}
		if keys > MaxKeys {
			return &limitError{i, fmt.Sprintf("the file has more than %d keys", MaxKeys), ""}
		}
		newLine = false
	}
	return nil
}

// quoted is the offset after the string that starts at src[at]. A string that
// does not end answers the end of what the lexer would read of it. The second
// answer is false for a multi-line string that ends in six quotes or more.
func quoted(src []byte, at int) (int, bool) {
	quote := src[at]
	multi := at+2 < len(src) && src[at+1] == quote && src[at+2] == quote
	if !multi {
		for i := at + 1; i < len(src); i++ {
			switch src[i] {
			case '\n':
				return i, true
			case '\\':
				if quote == '"' {
					i++
				}
			case quote:
				return i + 1, true
			}
		}
		return len(src), true
	}
	run := 0
	for i := at + 3; i < len(src); i++ {
		if src[i] == quote {
			if run++; run > 5 {
				return i, false
			}
			continue
		}
		if run >= 3 {
			return i, true
		}
		run = 0
		if src[i] == '\\' && quote == '"' {
			i++
		}
	}
	return len(src), true
}

// unsafe says whether a character may not stand in any text: control
// characters, which a terminal takes for commands; overrides of the writing
// direction, which make a line read as something else; separators and marks
// that no editor shows.
func UnsafeRune(r rune) bool {
	switch {
	case r < 0x20, r >= 0x7f && r < 0xa0: // C0, DEL, C1
		return true
	case r == 0x061c, r == 0x200b, r >= 0x200e && r <= 0x200f,
		r >= 0x2028 && r <= 0x202e, r >= 0x2060 && r <= 0x206f, r == 0xfeff,
		r >= 0xfff9 && r <= 0xfffb, r >= 0xe0000 && r <= 0xe0fff:
		return true
	case r >= 0xd800 && r <= 0xdfff, r&0xfffe == 0xfffe, r > utf8.MaxRune:
		return true
	}
	return false
}

// isPlain says whether a text is printable ASCII, as nearly every text is.
func isPlain(text string) bool {
	for i := 0; i < len(text); i++ {
		if text[i] < 0x20 || text[i] > 0x7e {
			return false
		}
	}
	return true
}

// clean replaces what may not stand in a text by U+FFFD. A tab becomes a
// space, and a line end a line feed where lines is true. The second answer is
// the first character that was refused (U+FFFD for bytes that are no UTF-8), or
// -1.
func Clean(text string, lines bool) (string, rune) {
	refused := rune(-1)
	if isPlain(text) {
		return text, refused
	}
	dirty := !utf8.ValidString(text)
	for _, r := range text {
		if UnsafeRune(r) {
			dirty = true
			break
		}
	}
	if !dirty {
		return text, refused
	}
	b := make([]byte, 0, len(text))
	for i, r := range text {
		switch {
		case r == '\t':
			b = append(b, ' ')
		case r == '\r' && i+1 < len(text) && text[i+1] == '\n':
		case r == '\n' && lines:
			b = append(b, '\n')
		case UnsafeRune(r) || r == utf8.RuneError && !strings.HasPrefix(text[i:], "\uFFFD"):
			if refused < 0 {
				refused = r
			}
			b = append(b, "\uFFFD"...)
		default:
			b = utf8.AppendRune(b, r)
		}
	}
	return string(b), refused
}
