package source

import (
	"errors"
	"fettle/threads/check"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// plainSyntax says what the TOML parser says in words for people who do not
// program, with what to do about it. What it does not know stays as it is.
func plainSyntax(message string) (plain, suggestion string) {
	if name, ok := strings.CutSuffix(strings.TrimSuffix(message, "."), " has already been defined"); ok {
		return strings.Replace(strings.ReplaceAll(name, "'", "`"), "Key", "the key", 1) + " stands twice",
			"a key and a [table] may stand once only; [[stage.step]] and the like in double brackets repeat"
	}
	for _, m := range [...]struct{ has, plain, suggestion string }{
		{"strings cannot contain newlines", "a text in quotes does not end on its line", "close it with the quote it began with; a text of several lines stands between \"\"\" and \"\"\""},
		{`unexpected EOF; expected '"""'`, "the text that begins with \"\"\" does not end", "close it with \"\"\""},
		{"unexpected EOF; expected \"'''\"", "the text that begins with ''' does not end", "close it with '''"},
		{"unexpected EOF; expected '\"'", "a text in quotes does not end", "close it with a quote"},
		{"unexpected EOF; expected \"'\"", "a text in quotes does not end", "close it with a quote"},
		{"invalid escape in string", "a backslash stands before a character that it does not go with", "write two backslashes for one, or put the text between single quotes"},
		{"expected '.' or '='", "a line needs the form: key = value", "a text of several lines stands between \"\"\" and \"\"\""},
		{"expected value but found", "the value is not understood", quoteIt},
		{"unexpected EOF; expected value", "a value is missing", ""},
		{"expected a comma (',') or array terminator", "a list needs a comma between its entries and a ] at its end", ""},
		{"expected a comma or an inline table terminator", "a table in braces needs a comma between its keys and a } at its end", ""},
		{"was already created and cannot be used as an array", inSingle, "write it in double brackets everywhere"},
		{"Invalid float", "the number is not understood", quoteIt},
		{"Invalid integer", "the number is not understood", quoteIt},
		{"invalid datetime", "the number or date is not understood", quoteIt},
		{"is out of range", "the number is too large", ""},
		{"expected a digit", "the number is not understood", quoteIt},
		{"floats must start", "a number begins with a digit", "0.5"},
		{"expected end of table array name delimiter", "a heading in double brackets ends with ]]", ""},
		{"to end table name", "a heading is not closed", "[name] or [[name]]"},
		{"table names cannot be empty", "a heading is empty", "[name] or [[name]]"},
		{"expected a top-level item to end with a newline", trailing, "one key on a line; a text with quotes in it stands between single quotes"},
		{"invalid UTF-8", "the file is not UTF-8", "save it as UTF-8"},
		{"NULL bytes", "the file is not UTF-8", "save it as UTF-8"},
		{"cannot contain control characters", "the file holds a control character", "leave it out"},
		{"key name appears blank", "a key has no name", "key = value"},
	} {
		if strings.Contains(message, m.has) {
			return m.plain, m.suggestion
		}
	}
	return message, ""
}

// What is said of mistakes that are looked into further.
const (
	trailing   = "something stands after the end of the value"
	inSingle   = "the table stands in single brackets elsewhere"
	inBrackets = " stands in single brackets, and more of them follow"
	quoteIt    = "put texts between quotes: \"like this\""
)

// unquoted says how the value of the line would be written that the offset at is
// in, where it is a text that lacks its quotes; empty where it is not.
func unquoted(src string, at int) string {
	begin := strings.LastIndexByte(src[:at], '\n') + 1
	line, _, _ := strings.Cut(src[begin:], "\n")
	if list := strings.Index(line, "= ["); list >= 0 && begin+list < at && bareTable(src[at:]) {
		return "tables in a list stand in braces: [{ name = \"...\", ask = \"...\" }]"
	}
	key, value, ok := strings.Cut(line, "=")
	value, _, _ = strings.Cut(value, "#")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok || value == "" || len(line) > MaxLine || strings.ContainsAny(value, "\"'\\[]{}") || strings.ContainsAny(key, "\"' ") {
		return ""
	}
	value, _ = Clean(value, false)
	return fmt.Sprintf("put texts between quotes: %s = \"%s\"", key, value)
}

// bareTable reports whether a text begins with a key and its =, as in a table that
// lacks its braces.
func bareTable(text string) bool {
	key, _, ok := strings.Cut(text, "=")
	key = strings.TrimSpace(key)
	return ok && key != "" && len(key) <= 60 && !strings.ContainsFunc(key, func(r rune) bool { return r >= utf8.RuneSelf || !isBareKeyByte(byte(r)) })
}

// singleBrackets is the last heading in single brackets before the offset at whose
// name a heading in double brackets takes up there; -1 where there is none.
func singleBrackets(src string, at int) (int, string) {
	begin := strings.LastIndexByte(src[:at], '\n') + 1
	line, _, _ := strings.Cut(src[begin:], "\n")
	name, ok := strings.CutPrefix(strings.TrimSpace(line), "[[")
	name, _, closed := strings.Cut(name, "]]")
	if !ok || !closed {
		return -1, ""
	}
	for end := begin; end > 0; {
		end-- // the line end before
		start := strings.LastIndexByte(src[:end], '\n') + 1
		line, _, _ := strings.Cut(strings.TrimSpace(src[start:end]), "#")
		if strings.TrimSpace(line) == "["+name+"]" {
			return start + strings.IndexByte(src[start:end], '['), name
		}
		end = start
	}
	return -1, ""
}

// openText is where the text begins in which the offset at lies, walked from
// the start of the file; -1 where it lies in none.
func openText(src string, at int) int {
	bytes := []byte(src)
	for i := 0; i < len(bytes) && i <= at; i++ {
		switch bytes[i] {
		case '#':
			for i+1 < len(bytes) && bytes[i+1] != '\n' {
				i++
			}
		case '"', '\'':
			end, _ := quoted(bytes, i)
			if end > at {
				return i
			}
			i = end - 1
		}
	}
	return -1
}

// Syntax reports an error of the parser, and whether its place is known. Its line and column are wrong for
// files with CRLF and at the end of a text, its offset is right; so both are
// worked out from the offset.
func (f *Reporter) Syntax(err error) bool {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		message, _ := Clean(err.Error(), false)
		f.At(check.Stop, RuleUnreadable, nil, Span{}, strings.TrimPrefix(message, "toml: "), "")
		return false
	}
	start := pe.Position.Start
	if strings.HasPrefix(f.Doc.Src, ByteOrderMark) {
		start += len(ByteOrderMark)
	}
	start = max(0, min(start, len(f.Doc.Src)))
	end := min(start+max(pe.Position.Len, 1), len(f.Doc.Src))
	// A place on a line end belongs to the line it ends.
	for start > 0 && start < len(f.Doc.Src) && (f.Doc.Src[start] == '\n' || f.Doc.Src[start] == '\r') && f.Doc.Src[start-1] != '\n' {
		start--
		end = start + 1
	}
	message, _ := Clean(pe.Message, false)
	message, suggestion := plainSyntax(message)
	if strings.HasSuffix(message, "does not end") || strings.HasSuffix(message, "does not end on its line") {
		// The place to look at is where the text begins.
		if open := openText(f.Doc.Src, start); open >= 0 {
			start, end = open, max(end, start+1)
		}
	}
	if message == trailing || suggestion == quoteIt {
		if better := unquoted(f.Doc.Src, start); better != "" {
			suggestion = better
		}
	}
	if at, name := singleBrackets(f.Doc.Src, start); at >= 0 && message == inSingle {
		// The line complained of is right; the one before is not.
		start, end = at, at+len(name)+2
		message, suggestion = "["+name+"]"+inBrackets, fmt.Sprintf("[[%s]]", name)
	}
	f.At(check.Stop, RuleUnreadable, nil, Span{int32(start), int32(max(end, start))}, message, suggestion)
	return true
}
