package job

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Plain makes text from somebody else harmless on a terminal and in a record:
// control characters, escapes, invisible marks that turn the writing direction,
// and bytes that are no UTF-8 are written out (\x1b, \u202e). Newlines and tabs
// become spaces. Everything else stays as it is.
func Plain(s string) string {
	if isPlain(s) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case r == '\n' || r == '\t' || r == '\r':
			b.WriteByte(' ')
		case r < 0x80 && unicode.IsControl(r):
			fmt.Fprintf(&b, `\x%02x`, r)
		case harmful(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteString(s[i : i+size])
		}
		i += size
	}
	return b.String()
}

func isPlain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] >= 0x7f {
			return false
		}
	}
	return true
}

// harmful runes act on a terminal or hide what stands there. The two joiners
// are part of how some scripts are written and do neither.
func harmful(r rune) bool {
	const zeroWidthNonJoiner, zeroWidthJoiner = 0x200c, 0x200d
	if r == zeroWidthNonJoiner || r == zeroWidthJoiner {
		return false
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp)
}
