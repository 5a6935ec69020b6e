package job

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"unicode"
)

// Whatever a person or another device wrote, the record holds it as text.
func FuzzRecordText(f *testing.F) {
	for _, s := range []string{"", "plain", "1. list", "- x", "a|b", "<b>&amp;", "[x](y)", "![x](y)", "\x1b[31m", "\u202e", "www.x.y http://z", "\\", "`", "\xff\xfe", "# h", strings.Repeat("W", 100)} {
		f.Add(s)
	}
	tag := regexp.MustCompile(`<[^>]*>`)
	link := regexp.MustCompile(`(^|[^\\])\]\(`)
	f.Fuzz(func(t *testing.T, s string) {
		r := &Record{Title: s, Engine: s, parts: []recordPart{{heading: s, paras: []string{s}, tables: []recordTable{{[]string{s, s}, [][]string{{s, s}}}}, photos: []recordPhoto{{name: s, caption: s, problem: s}}}}}
		var page, text bytes.Buffer
		if r.WriteHTML(&page) != nil || r.WriteMarkdown(&text) != nil {
			t.Fatal("writing to memory failed")
		}
		ours := map[string]bool{}
		for _, name := range []string{"!DOCTYPE html", `html lang="en"`, "head", "/head", `meta charset="utf-8"`, "title", "/title", "style", "/style", "body", "/body", "/html", "h1", "/h1", "h2", "/h2", "p", "/p", "table", "/table", "thead", "/thead", "tbody", "/tbody", "tr", "/tr", "th", "/th", "td", "/td", "wbr"} {
			ours["<"+name+">"] = true
		}
		for _, found := range tag.FindAllString(page.String(), -1) {
			if !ours[found] && !strings.HasPrefix(found, "<meta http-equiv=") && !strings.HasPrefix(found, "<meta name=") {
				t.Fatalf("%q became a tag of the page", found)
			}
		}
		for _, written := range []string{page.String(), text.String()} {
			for _, c := range written {
				if c != '\n' && (unicode.IsControl(c) || harmful(c)) {
					t.Fatalf("%q is on the paper", c)
				}
			}
		}
		md := text.String()
		if strings.Contains(md, "<") || link.MatchString(md) || strings.Contains(md, "://") {
			t.Fatalf("Markdown holds more than text: %q", md)
		}
		lines := strings.Split(strings.TrimSuffix(md, "\n"), "\n")
		if want := 11; len(lines) != want {
			t.Fatalf("%d lines instead of %d: %q", len(lines), want, md)
		}
	})
}
