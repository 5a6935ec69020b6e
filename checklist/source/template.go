package source

import (
	"strings"
	"unicode/utf8"
)

// A reference is one ${name} or ${name.figure} in a text. "$${" stands for the
// two characters "${" themselves.
type Reference struct {
	Start, End int // bytes in the text, from $ to after }
	Name       string
	Figure     string // empty for a setting
}

// templateError says what is wrong with a ${...}, and where in the text.
type templateError struct {
	Start, End int
	Message    string
	Suggestion string
}

// references finds every ${...} of a text.
func References(text string) ([]Reference, []templateError) {
	if !strings.Contains(text, "${") {
		return nil, nil
	}
	var (
		refs   []Reference
		errors []templateError
	)
	for at := 0; ; {
		i := strings.Index(text[at:], "${")
		if i < 0 {
			return refs, errors
		}
		start := at + i
		if start > 0 && text[start-1] == '$' {
			at = start + 2
			continue
		}
		end := strings.IndexAny(text[start+2:], "}\n")
		if end < 0 || text[start+2+end] != '}' {
			errors = append(errors, templateError{start, start + 2, "`${` has no closing `}`", "${name}; for the two characters themselves write $${"})
			at = start + 2
			continue
		}
		at = start + 2 + end + 1
		inner := text[start+2 : at-1]
		if len(refs)+len(errors) == maxReference {
			errors = append(errors, templateError{start, at, "a text has at most 50 `${...}`", ""})
			return refs, errors
		}
		name, figure, dotted := strings.Cut(strings.TrimSpace(inner), ".")
		switch {
		case strings.Contains(inner, "${") && !PlainName(strings.TrimSpace(inner[:strings.Index(inner, "${")])):
			errors = append(errors, templateError{start, start + 2, "`${` has no closing `}`", "${name}; for the two characters themselves write $${"})
			at = start + 2
		case strings.Contains(inner, "${"):
			errors = append(errors, templateError{start, at, "`${` stands inside `${...}`", "one name between the braces: ${name} or ${name.figure}"})
		case name == "" || dotted && figure == "":
			errors = append(errors, templateError{start, at, "`${...}` names nothing", "${name} or ${name.figure}"})
		case !PlainName(name) || dotted && !PlainName(figure):
			errors = append(errors, templateError{start, at, Shown(strings.TrimSpace(inner)) + " is no name of a setting or a figure; nothing is calculated inside ${...}", "${name} or ${name.figure}"})
		default:
			refs = append(refs, Reference{start, at, name, figure})
		}
	}
}

func PlainName(s string) bool {
	for i := 0; i < len(s); i++ {
		if !isBareKeyByte(s[i]) {
			return false
		}
	}
	return s != ""
}

// fillIn puts the answers of value in the place of every reference. The second
// answer is false where the result became too long.
func FillIn(text string, refs []Reference, value func(Reference) string) (string, bool) {
	if len(refs) == 0 {
		if strings.Contains(text, "$${") {
			text = strings.ReplaceAll(text, "$${", "${")
		}
		return text, true
	}
	var b strings.Builder
	at := 0
	for _, r := range refs {
		b.WriteString(strings.ReplaceAll(text[at:r.Start], "$${", "${"))
		b.WriteString(value(r))
		if b.Len() > MaxExpanded {
			return "", false
		}
		at = r.End
	}
	b.WriteString(strings.ReplaceAll(text[at:], "$${", "${"))
	return b.String(), b.Len() <= MaxExpanded
}

// within is where the bytes start to end of a text stand in the source, whose
// literal at s says the text. Where the literal is not followed exactly the
// whole of it is the answer.
func Within(src string, s Span, text string, start, end int) Span {
	if !s.Known() {
		return s
	}
	literal := src[s.Start:s.End]
	offsets, ok := literalOffsets(literal, text, start, end)
	if !ok {
		return s
	}
	return Span{s.Start + int32(offsets[0]), s.Start + int32(offsets[1])}
}

// literalOffsets walks a TOML string literal beside the text it says, and
// answers the offsets in the literal of two offsets in the text.
func literalOffsets(literal, text string, start, end int) (offsets [2]int, ok bool) {
	if len(literal) < 2 {
		return offsets, false
	}
	quote := literal[:1]
	if quote != `"` && quote != `'` {
		return offsets, false
	}
	i, multi := 1, strings.HasPrefix(literal, strings.Repeat(quote, 3)) && len(literal) >= 6
	stop := len(literal) - 1
	if multi {
		i, stop = 3, len(literal)-3
		if strings.HasPrefix(literal[i:], "\r\n") {
			i += 2
		} else if strings.HasPrefix(literal[i:], "\n") {
			i++
		}
	}
	at := 0 // in text
	for {
		if at == start {
			offsets[0] = i
		}
		if at == end {
			offsets[1] = i
			return offsets, true
		}
		if i >= stop || at >= len(text) {
			return offsets, false
		}
		if literal[i] == '\\' && quote == `"` {
			if multi {
				if n := lineEnding(literal[i:stop]); n > 0 {
					i += n
					continue
				}
			}
			r, size, escaped := unescapeRune(literal[i:stop])
			want, width := utf8.DecodeRuneInString(text[at:])
			if !escaped || !became(r, want) {
				return offsets, false
			}
			i, at = i+size, at+width
			continue
		}
		if literal[i] == '\r' && strings.HasPrefix(literal[i:], "\r\n") && text[at] == '\n' {
			i++
		}
		r, size := utf8.DecodeRuneInString(literal[i:stop])
		want, width := utf8.DecodeRuneInString(text[at:])
		if !became(r, want) {
			return offsets, false
		}
		i, at = i+size, at+width
	}
}

// became says whether cleaning a text leaves the character r as want.
func became(r, want rune) bool {
	return r == want || r == '\t' && want == ' ' || want == utf8.RuneError && UnsafeRune(r)
}

// lineEnding is the length of a backslash at the end of a line with all the
// blanks and line ends after it, or 0.
func lineEnding(s string) int {
	n, broken := 1, false
	for n < len(s) && strings.IndexByte(" \t\r\n", s[n]) >= 0 {
		broken = broken || s[n] == '\n'
		n++
	}
	if !broken {
		return 0
	}
	return n
}

// LostNames finds the names that stand in a text in braces without a dollar, or behind
// a dollar without braces: {rod}, $packing.rings. is says what a name is.
func LostNames(text string, is func(name, figure string) bool) (list []Reference) {
	for i := 0; i < len(text); i++ {
		rest, closed := text[i+1:], 0
		switch {
		case text[i] == '{' && (i == 0 || text[i-1] != '$'):
			end := strings.IndexAny(rest, "{}\n")
			if end < 0 || rest[end] != '}' {
				continue
			}
			rest, closed = rest[:end], 1
		case text[i] == '$' && rest != "" && rest[0] != '{' && rest[0] != '$':
			end := strings.IndexFunc(rest, func(r rune) bool { return r != '.' && r != '_' && !('a' <= r && r <= 'z') && !('0' <= r && r <= '9') })
			if end >= 0 {
				rest = rest[:end]
			}
			rest = strings.TrimRight(rest, ".")
		default:
			continue
		}
		name, figure, _ := strings.Cut(strings.TrimSpace(rest), ".")
		if is(name, figure) {
			list = append(list, Reference{i, i + 1 + len(rest) + closed, name, figure})
		}
	}
	return list
}
