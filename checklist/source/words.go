package source

import (
	"fettle/threads/check"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// shown is a word from the file as messages quote it.
func Shown(s string) string {
	s, _ = Clean(s, false)
	if r := []rune(s); len(r) > 60 {
		s = string(r[:57]) + "..."
	}
	return `"` + s + `"`
}

// clean makes a text safe to show and reports what was refused in it.
func (f *Reporter) Clean(s string, p *Place, name string, lines bool, most int) string {
	if len(s) > most {
		if n := utf8.RuneCountInString(s); n > most {
			f.Value(check.Stop, RuleLimit, p, fmt.Sprintf("`%s` has %d characters, at most %d are read", name, n, most), "")
			s = string([]rune(s)[:most])
		}
	}
	s, refused := Clean(s, lines)
	switch {
	case refused == '\n':
		f.Value(check.Stop, RuleCharacter, p, fmt.Sprintf("`%s` takes one line only", name), "")
	case refused >= 0:
		f.Value(check.Stop, RuleCharacter, p, fmt.Sprintf("`%s` holds the character U+%04X, which a screen could take for a command or cannot show", name, refused), "leave it out")
	}
	return s
}

// checkName reports a name that is not made of letters, digits, - and _.
func (f *Reporter) CheckName(s string, p *Place, onKey bool) bool {
	ok := s != "" && len(s) <= 60
	for i := 0; i < len(s) && ok; i++ {
		ok = isBareKeyByte(s[i])
	}
	if !ok {
		report := f.Value
		if onKey {
			report = f.Key
		}
		suggestion := ""
		if made := nameFrom(s); made != "" && isPlain(s) {
			suggestion = "such as: " + made
		}
		report(check.Stop, RuleName, p, fmt.Sprintf("%s is no name: names are made of the letters a to z, digits, - and _, 60 at most", Shown(s)), suggestion)
	}
	return ok
}

// nameFrom makes a name of what was written in its place: "Lap 1" is lap-1. It is
// empty where too little of it can stand in a name.
func nameFrom(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r < utf8.RuneSelf && isBareKeyByte(byte(r)):
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() == 60 {
			break
		}
	}
	return strings.Trim(b.String(), "-_")
}

// lowerID reports an id of a procedure that is not written in lower case.
func (f *Reporter) LowerID(id string, at *Place, key string) {
	if id != strings.ToLower(id) && nameFrom(id) == strings.ToLower(id) { // else it is no name at all, which has been said
		f.Value(check.Stop, RuleName, at, "the id of a procedure is written in lower-case letters", key+" = \""+strings.ToLower(id)+"\"")
	}
}

// PlainError is the text of an error, safe to show, without its full stop.
func PlainError(err error) string {
	text, _ := Clean(err.Error(), false)
	return strings.TrimSuffix(text, ".")
}

// Article puts the article before a word: "an angle", "a length".
func Article(word string) string {
	if strings.ContainsRune("aeio", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// LowerFirst and UpperFirst change the case of the first letter.
func LowerFirst(s string) string { return first(s, unicode.ToLower) }

func UpperFirst(s string) string { return first(s, unicode.ToUpper) }

func first(s string, change func(rune) rune) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(change(r)) + s[size:]
}

// PlainValue makes the characters plain that word processors put into figures and
// names: dashes and minus signs, blanks that do not break, quotes that curl, signs of
// comparison. Read as anything else, a limit of -0.05 becomes one of 0.05.
func PlainValue(text string) string {
	if isPlain(text) {
		return text
	}
	return strings.NewReplacer(
		"\u2212", "-", "\u2010", "-", "\u2011", "-", "\u2012", "-", "\u2013", "-", "\u2014", "-", "\ufe63", "-", "\uff0d", "-",
		"\uff0b", "+", "\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ", "\u2002", " ", "\u2003", " ",
		"\u201c", `"`, "\u201d", `"`, "\u201e", `"`, "\u00ab", `"`, "\u00bb", `"`, "\u2018", "'", "\u2019", "'", "\u201a", "'",
		"\u2264", "<=", "\u2265", ">=", "\u2260", "!=", "\uff1d", "=",
	).Replace(text)
}
