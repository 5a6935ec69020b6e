package job

import (
	"encoding/base64"
	"errors"
	"fmt"
	"html"
	"io"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"fettle/threads/quantity"
)

// WriteMarkdown writes the record as Markdown. Whatever people wrote stands in
// it as text: it makes no heading, no link, no picture and no page element.
func (r *Record) WriteMarkdown(w io.Writer) error {
	p := printer{w: w}
	p.line("# " + markText(r.heading()))
	for _, part := range r.parts {
		p.line("\n## " + markText(part.heading))
		paras := func() {
			for _, text := range part.paras {
				p.line("\n" + markText(text))
			}
		}
		if !part.after {
			paras()
		}
		for _, t := range part.tables {
			p.line("")
			p.line("|" + markCells(t.head))
			p.line("|" + strings.Repeat("---|", len(t.head)))
			for _, row := range t.rows {
				p.line("|" + markCells(row))
			}
		}
		for _, plot := range part.plots {
			p.line("\n" + markText(plot.words()))
		}
		if part.after {
			paras()
		}
		for _, photo := range part.photos {
			switch {
			case photo.data == nil:
				p.line("\n" + markText(photo.caption+": "+photo.problem))
			default: // photo names are letters, figures and hyphens
				p.line("\n![" + markText(photo.caption) + "](" + photosName + "/" + photo.name + ")")
			}
		}
	}
	return p.err
}

func (r *Record) heading() string {
	if r.Engine == "" {
		return r.Title
	}
	return r.Engine + ": " + r.Title
}

// printer keeps the first error of many lines.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(text string) {
	if p.err == nil {
		_, p.err = io.WriteString(p.w, text+"\n")
	}
}

// markText makes text harmless in Markdown.
func markText(text string) string {
	var b strings.Builder
	for _, r := range Plain(text) {
		switch r {
		case '\\', '`', '*', '_', '{', '}', '[', ']', '#', '|', '~', '!':
			b.WriteByte('\\')
			b.WriteRune(r)
		case '<':
			b.WriteString("&lt;")
		case '>':
			b.WriteString("&gt;")
		case '&':
			b.WriteString("&amp;")
		default:
			b.WriteRune(r)
		}
	}
	out := b.String()
	// A bare address would become a link, a leading sign a list or a heading.
	out = strings.ReplaceAll(out, "://", "&#58;//")
	out = strings.ReplaceAll(out, "www.", "www&#46;")
	if out != "" && strings.ContainsRune("-+=0123456789", rune(out[0])) {
		return listSafe(out)
	}
	return out
}

// listSafe keeps "1. " and "- " at the start of a line from being a list.
func listSafe(text string) string {
	digits := len(text) - len(strings.TrimLeft(text, "0123456789"))
	switch {
	case digits > 0 && digits < len(text) && (text[digits] == '.' || text[digits] == ')') && (digits+1 == len(text) || text[digits+1] == ' '):
		return text[:digits] + "\\" + text[digits:]
	case digits == 0:
		return "\\" + text
	}
	return text
}

func markCells(cells []string) string {
	var b strings.Builder
	for _, c := range cells {
		b.WriteString(" " + markText(c) + " |")
	}
	return b.String()
}

// pageStyle prints well on A4: nothing but the page itself is asked for.
const pageStyle = `
@page { size: A4; margin: 16mm 14mm; }
* { box-sizing: border-box; }
body { font: 10.5pt/1.4 "Helvetica Neue", Arial, "Liberation Sans", sans-serif; color: #111; background: #fff; max-width: 182mm; margin: 8mm auto; padding: 0 4mm; }
h1 { font-size: 18pt; margin: 0 0 4mm; border-bottom: 1.2mm solid #1d4d4f; padding-bottom: 2mm; }
h2 { font-size: 12.5pt; margin: 7mm 0 2mm; color: #1d4d4f; break-after: avoid; }
p { margin: 0 0 1.6mm; }
p.notice { border: 0.4mm solid #8a4b00; padding: 2mm 3mm; margin-bottom: 3mm; break-inside: avoid; }
table { width: 100%; border-collapse: collapse; margin: 0 0 3mm; font-size: 9pt; }
th, td { text-align: left; vertical-align: top; padding: 0.9mm 1.6mm; border-bottom: 0.2mm solid #b9c2c2; overflow-wrap: break-word; }
th { border-bottom: 0.4mm solid #1d4d4f; font-weight: 600; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
figure { margin: 0 0 4mm; break-inside: avoid; }
figcaption { font-size: 9pt; }
img { max-width: 100%; max-height: 110mm; display: block; }
svg { width: 100%; height: auto; display: block; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
`

// WriteHTML writes the record as one page that needs nothing else: style,
// plots and photos are in it, and it asks for nothing from outside.
func (r *Record) WriteHTML(w io.Writer) error {
	p := printer{w: w}
	title := html.EscapeString(Plain(r.heading()))
	p.line("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">")
	p.line(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">`)
	p.line("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" + title + "</title>\n<style>" + pageStyle + "</style>\n</head>\n<body>\n<h1>" + title + "</h1>")
	for _, part := range r.parts {
		p.line("<h2>" + html.EscapeString(Plain(part.heading)) + "</h2>")
		paras := func() {
			for _, text := range part.paras {
				class := ""
				if text == noCertificate {
					class = ` class="notice"`
				}
				p.line("<p" + class + ">" + breakable(Plain(text)) + "</p>")
			}
		}
		if !part.after {
			paras()
		}
		for _, plot := range part.plots {
			p.line("<figure>" + plot.svg() + "<figcaption>" + html.EscapeString(Plain(plot.words())) + "</figcaption></figure>")
		}
		for _, t := range part.tables {
			p.line("<table>")
			if strings.Join(t.head, "") != "" {
				p.line("<thead><tr>" + htmlCells("th", t.head) + "</tr></thead>")
			}
			p.line("<tbody>")
			for _, row := range t.rows {
				p.line("<tr>" + htmlCells("td", row) + "</tr>")
			}
			p.line("</tbody></table>")
		}
		if part.after {
			paras()
		}
		for _, photo := range part.photos {
			caption := html.EscapeString(Plain(photo.caption))
			if photo.data == nil {
				p.line("<p>" + breakable(Plain(photo.caption+": "+photo.problem)) + "</p>")
				continue
			}
			_, mime, _ := photoKind(photo.data)
			p.line("<figure><img alt=\"" + caption + "\" src=\"data:" + mime + ";base64," + base64.StdEncoding.EncodeToString(photo.data) + "\"><figcaption>" + breakable(Plain(photo.caption)) + "</figcaption></figure>")
		}
	}
	p.line("</body>\n</html>")
	return p.err
}

func htmlCells(tag string, cells []string) string {
	var b strings.Builder
	for _, c := range cells {
		b.WriteString("<" + tag + ">" + breakable(Plain(c)) + "</" + tag + ">")
	}
	return b.String()
}

// breakable escapes text and lets words break that no column of a page holds.
func breakable(text string) string {
	const longest = 24
	var b strings.Builder
	run := 0
	for _, r := range text {
		if run++; r == ' ' {
			run = 0
		} else if run > longest {
			b.WriteString("<wbr>")
			run = 1
		}
		b.WriteString(html.EscapeString(string(r)))
	}
	return b.String()
}

// plot is the pressure of a test over time.
type plot struct {
	points []plotPoint
	target quantity.Pressure
	in     quantity.PressureScale
	wall   Wall
}

type plotPoint struct {
	at time.Time
	p  quantity.Pressure
}

func plotOf(run *TestRun, t *TestSheet, wall Wall) plot {
	out := plot{target: t.Target, in: t.In, wall: wall}
	for _, p := range run.Points {
		out.points = append(out.points, plotPoint{p.At, p.Pressure})
	}
	return out
}

func (g plot) words() string {
	first, last := g.points[0], g.points[len(g.points)-1]
	return fmt.Sprintf("Pressure of the test from %s to %s, from %s to %s.", g.wall.Show(first.at, Minute), g.wall.Show(last.at, Minute), g.in.Show(first.p), g.in.Show(last.p))
}

// niceStep is 1, 2 or 5 times a power of ten, so that a span takes four to ten
// of them.
func niceStep(span float64) float64 {
	step := 1.0
	for step*10 < span {
		step *= 10
	}
	for step > span {
		step /= 10
	}
	for _, f := range [...]float64{0.1, 0.2, 0.5, 1, 2} {
		if span/(step*f) <= 8 {
			return step * f
		}
	}
	return step * 5
}

// svg draws the plot. Every number in it is formatted here; no text of people
// comes in.
func (g plot) svg() string {
	const width, height, left, right, top, bottom = 680.0, 280.0, 58.0, 14.0, 14.0, 42.0
	start, end := g.points[0].at, g.points[len(g.points)-1].at
	span := max(end.Sub(start).Minutes(), 1)
	most := g.in.Of(g.target)
	for _, p := range g.points {
		most = max(most, g.in.Of(p.p))
	}
	most = max(most*1.08, 0.5)
	x := func(at time.Time) float64 { return left + at.Sub(start).Minutes()/span*(width-left-right) }
	y := func(v float64) float64 { return height - bottom - v/most*(height-top-bottom) }
	var b strings.Builder
	f := func(format string, args ...any) { fmt.Fprintf(&b, format, args...) }
	f(`<svg viewBox="0 0 %.0f %.0f" role="img" aria-label="Pressure over time" font-family="sans-serif" font-size="12">`, width, height)
	step := niceStep(most)
	for v := 0.0; v <= most; v += step {
		f(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#ccd4d4"/><text x="%.1f" y="%.1f" text-anchor="end">%.4g</text>`, left, y(v), width-right, y(v), left-6, y(v)+4, v)
	}
	minutes := max(niceStep(span), 1)
	for m := 0.0; m <= span; m += minutes {
		at := start.Add(time.Duration(m * float64(time.Minute)))
		f(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#ccd4d4"/><text x="%.1f" y="%.1f" text-anchor="middle">%s</text>`, x(at), top, x(at), height-bottom, x(at), height-bottom+16, g.wall.In(at).Format(Minute))
	}
	f(`<text x="%.1f" y="%.1f" text-anchor="middle">time</text><text x="14" y="%.1f" text-anchor="middle" transform="rotate(-90 14 %.1f)">%s, gauge</text>`, (left+width-right)/2, height-6, (top+height-bottom)/2, (top+height-bottom)/2, g.in.Unit())
	if g.target > 0 {
		f(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#8a4b00" stroke-dasharray="6 4"/><text x="%.1f" y="%.1f" fill="#8a4b00">test pressure %.4g</text>`, left, y(g.in.Of(g.target)), width-right, y(g.in.Of(g.target)), left+6, y(g.in.Of(g.target))-5, g.in.Of(g.target))
	}
	b.WriteString(`<polyline fill="none" stroke="#1d4d4f" stroke-width="2" points="`)
	for _, p := range g.points {
		f("%.1f,%.1f ", x(p.at), y(g.in.Of(p.p)))
	}
	b.WriteString(`"/>`)
	for _, p := range g.points {
		f(`<circle cx="%.1f" cy="%.1f" r="3.2" fill="#1d4d4f"/>`, x(p.at), y(g.in.Of(p.p)))
	}
	b.WriteString("</svg>")
	return b.String()
}

// WriteFile puts a finished record in its place in one step. What has the name
// already is replaced if it is a plain file, and refused otherwise; a name that
// only a file of a job or a procedure bears is refused as well.
func WriteFile(name string, data []byte, env Env) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".jsonl", ".toml":
		return fmt.Errorf("%s: files of that kind hold jobs and procedures; give a name that ends in .html or .md", Plain(name))
	}
	return replaceFile(env.files(), name, data)
}

func replaceFile(files FS, name string, data []byte) error {
	if f, err := files.Open(name); err == nil {
		if err := f.Close(); err != nil {
			return err
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	dir := filepath.Dir(name)
	err := writeNew(files, name, data)
	if err == nil {
		err = files.SyncDir(dir)
	}
	if err != nil {
		return &FolderError{dir, "nothing can be written there: the folder " + reason(err), err}
	}
	return nil
}
