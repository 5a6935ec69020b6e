package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// sample is an entry as it stands in a log. Its sum was worked out apart from
// this package: printf '%s' '{"v":1,...,"prev":"98aaa1f219155266"}' | sha256sum.
const (
	sampleBody = `{"v":1,"id":"k7q2-41-9f3a","seq":41,"n":57,"time":"2026-03-01T09:01:21+01:00","by":"Ana","kind":"measure","step":"rigging.shroud-07","value":"12.50","unit":"mm","replaces":["m3xd-12-77c0"],"prev":"98aaa1f219155266"`
	sample     = sampleBody + `,"sum":"da8405d91e5a703e"}`
)

func sampleEntry() Entry {
	return Entry{
		V: 1, ID: "k7q2-41-9f3a", Seq: 41, N: 57, Time: "2026-03-01T09:01:21+01:00", By: "Ana", Kind: KindMeasure,
		Step: "rigging.shroud-07", Value: "12.50", Unit: "mm", Replaces: []string{"m3xd-12-77c0"}, Prev: "98aaa1f219155266",
	}
}

func TestLineLayout(t *testing.T) {
	line, err := encode(sampleEntry())
	require.NoError(t, err)
	require.Equal(t, sample, string(line))

	e, state := decode(line)
	require.Equal(t, lineGood, state)
	want := sampleEntry()
	want.Sum = "da8405d91e5a703e"
	require.Equal(t, want, e)
	require.Equal(t, "k7q2", e.Device())
	require.Equal(t, "12.50", e.Value, "a value stays as it was typed")
}

// No part of a line is an entry: what a power cut leaves is never taken for
// something else.
func TestEveryPrefixIsNoEntry(t *testing.T) {
	for n := 1; n < len(sample); n++ {
		_, state := decode([]byte(sample[:n]))
		require.Equal(t, lineUnreadable, state, sample[:n])
	}
}

func TestDamageIsSeen(t *testing.T) {
	for i := range sample {
		for bit := range 8 {
			line := []byte(sample)
			line[i] ^= 1 << bit
			if _, state := decode(trimLine(line)); state == lineGood {
				t.Fatalf("bit %d of byte %d", bit, i)
			}
		}
	}
	rng := rand.New(rand.NewSource(1))
	for range 20000 {
		line := []byte(sample)
		for range 1 + rng.Intn(4) {
			line[rng.Intn(len(line))] = byte(rng.Intn(256))
		}
		if _, state := decode(line); state == lineGood && string(line) != sample {
			t.Fatalf("%q", line)
		}
	}
}

func TestLineStates(t *testing.T) {
	newer := strings.TrimSuffix(strings.Replace(sampleBody, `"v":1`, `"v":7,"seq":"41a"`, 1), "")
	newer += sumKey + bodySum([]byte(newer)) + `"}`
	unknown := strings.Replace(sampleBody, `"kind"`, `"torch":{"on":true},"kind"`, 1)
	unknown += sumKey + bodySum([]byte(unknown)) + `"}`
	huge := strings.Replace(sampleBody, `"n":57`, `"n":9223372036854775807`, 1)
	huge += sumKey + bodySum([]byte(huge)) + `"}`
	nameless := strings.Replace(sampleBody, `"id":"k7q2-41-9f3a",`, "", 1)
	nameless += sumKey + bodySum([]byte(nameless)) + `"}`
	list := `[1,2`
	list += sumKey + bodySum([]byte(list)) + `"}`

	for name, c := range map[string]struct {
		line string
		want lineState
	}{
		"as written":             {sample, lineGood},
		"carriage return":        {sample + "\r", lineGood},
		"byte order mark":        {"\xef\xbb\xbf" + sample, lineGood},
		"zeros around":           {"\x00\x00" + sample + "\x00\x00", lineGood},
		"keys of later versions": {unknown, lineGood},
		"a later version":        {newer, lineGood},
		"empty":                  {"", lineBlank},
		"zeros":                  {"\x00\x00\x00", lineBlank},
		"spaces":                 {" \t\r", lineBlank},
		"value edited":           {strings.Replace(sample, "12.50", "12.60", 1), lineChanged},
		"sum missing":            {sampleBody + "}", lineChanged},
		"written by hand":        {`{"kind":"note","text":"hello"}`, lineChanged},
		"counter at its end":     {huge, lineUnreadable},
		"no name":                {nameless, lineUnreadable},
		"sum over junk":          {list, lineUnreadable},
		"conflict marker":        {"<<<<<<< HEAD", lineUnreadable},
		"a number":               {"42", lineUnreadable},
		"a list":                 {"[1,2]", lineUnreadable},
		"torn":                   {sample[:100], lineUnreadable},
	} {
		_, state := decode(trimLine([]byte(c.line)))
		require.Equal(t, c.want, state, name)
	}
	e, _ := decode([]byte(newer))
	require.False(t, e.understood())
}

func TestSalvage(t *testing.T) {
	second, err := encode(Entry{V: 1, ID: "m3xd-1-aaaa", Seq: 1, N: 1, Kind: KindNote, Text: `{"v":1 in a text ,"sum":"`})
	require.NoError(t, err)
	for name, c := range map[string]struct {
		line string
		want int
	}{
		"torn line in front":     {sample[:77] + sample, 1},
		"zeros in front":         {"abc\x00\x00\x00" + sample, 1},
		"newline lost":           {sample + string(second), 2},
		"junk behind":            {sample + "junk", 1},
		"torn behind":            {sample + string(second[:40]), 1},
		"junk, both, junk":       {"}}" + string(second) + "#" + sample + sample[:200], 2},
		"edited":                 {"x" + strings.Replace(sample, "12.50", "13", 1), 0},
		"nothing":                {"xyz", 0},
		"only starts":            {strings.Repeat(`{"v":`, 1000), 0},
		"a start and many sums":  {`{"v":` + strings.Repeat(sumKey, 1000), 0},
		"sum cut short":          {sample[:len(sample)-1], 0},
		"in a string of another": {`{"v":1,"text":"` + strings.ReplaceAll(sample, `"`, `\"`) + `"}`, 0},
	} {
		n := 0
		salvage([]byte(c.line), func(entry []byte) {
			require.True(t, sumMatches(entry), name)
			n++
		})
		require.Equal(t, c.want, n, name)
	}
}

// What another device wrote is harmless once it is read; the line is not touched.
func TestPlain(t *testing.T) {
	for in, want := range map[string]string{
		"4 BA × 1/4 in, 20 °C": "4 BA × 1/4 in, 20 °C",
		"\x1b[2J\x07":          `\x1b[2J\x07`,
		"a\u202eb":             `a\u202eb`,
		"a\u009bb":             `a\u009bb`,
		"two\nlines\ttab":      "two lines tab",
		"bad \xff byte":        `bad \xff byte`,
		"":                     "",
		"\u2066x\u2069\ufeff":  `\u2066x\u2069\ufeff`,
		"e\u0301 क्\u200dष":    "e\u0301 क्\u200dष",
	} {
		require.Equal(t, want, Plain(in))
		require.Equal(t, want, Plain(Plain(in)))
	}
	line, err := encode(Entry{V: 1, ID: "evil-1-aaaa", Kind: KindNote, By: "\x1b]0;owned\x07", Text: "\x1b[31mred"})
	require.NoError(t, err)
	require.False(t, bytes.ContainsRune(line, 0x1b), "JSON escapes it in the file")
	e, state := decode(line)
	require.Equal(t, lineGood, state)
	require.Equal(t, `\x1b[31mred`, e.Text)
	require.Equal(t, `\x1b]0;owned\x07`, e.By)
}

// The quick reading of a line is the slow one's.
func FuzzQuickly(f *testing.F) {
	for _, seed := range []string{
		sample, `{}`, `{"v":1}`, `{"v":01}`, `{"V":1}`, `{"v":1,"v":2}`, `{"id":"a\u0041"}`, `{"id":"é"}`, `{"id":"\xff"}`,
		`{"replaces":["a","b"]}`, `{"replaces":[]}`, `{"replaces":["a"],"replaces":["b"]}`, `{"retracts":[1]}`, `{"n":1.5}`,
		`{"n":-1}`, `{"n":9007199254740993}`, `{"text":null}`, `{"other":"x"}`, `{"v":1}x`, `{"v":1 }`, `{"v":true}`, `{"by":"a",}`,
		`{"v":"1"}`, `{"id":["a"]}`, `{"id":3}`, `{,"v":1}`, `{"replaces":["a",]}`, `{"replaces":["a"`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		var quick, slow Entry
		if !quickly(line, &quick) {
			return
		}
		if err := json.Unmarshal(line, &slow); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		if !reflect.DeepEqual(quick, slow) {
			t.Fatalf("%q: %+v, %+v", line, quick, slow)
		}
	})
}

func TestQuicklyReadsWhatIsWritten(t *testing.T) {
	e := Entry{
		V: 1, ID: "k7q2-41-9f3a", Seq: 41, N: 57, Time: "2026-03-01T09:01:21+01:00", By: "Ana", Kind: "measure", Step: "a", Reading: "b",
		Value: "12.50", Unit: "°C", Text: "t", Replaces: []string{"x", "y"}, Retracts: []string{"z"}, Accepts: "q", Prev: "p",
		About: "a", Seen: []string{"s"}, Photos: []string{"f", "g"},
	}
	line, err := encode(e)
	require.NoError(t, err)
	var got Entry
	require.True(t, quickly(line, &got))
	got.Sum = ""
	require.Equal(t, e, got, "every field but Data, which few entries have")
}

// Junk and damage around two good lines lose neither.
func FuzzReader(f *testing.F) {
	first := sample
	line, err := encode(Entry{V: 1, ID: "m3xd-9-bbbb", Seq: 9, N: 58, By: "Tom", Kind: KindTick, Step: "cold"})
	if err != nil {
		f.Fatal(err)
	}
	second := string(line)
	f.Add([]byte(""), []byte(""), []byte(""))
	f.Add([]byte("junk\n"), []byte(first[:50]+"\n"), []byte("\x00\x00"))
	f.Add([]byte("\xef\xbb\xbf"), []byte("\r\n<<<<<<< HEAD\n"), []byte(second[:30]))
	f.Add([]byte(first[:60]), []byte("\x00\x00\x00"), []byte("{}"))
	f.Add([]byte(`{"v":1`), []byte(`{"v":`), []byte(`,"sum":"`))
	f.Fuzz(func(t *testing.T, before, between, after []byte) {
		// A line is found when it begins a line, or follows junk on the same one.
		data := append(append(append(append(append([]byte{}, before...), first...), between...), '\n'), second...)
		data = append(append(data, '\n'), after...)
		m := newMemory(memJob)
		m.nodes[memJob+"/log-k7q2-aaaaaa.jsonl"] = &memNode{data: data, state: make([]byteState, len(data)), mtime: 1}
		l := newLogs(m, memJob, "")
		if _, err := l.refresh(); err != nil {
			t.Fatal(err)
		}
		for _, id := range []string{"k7q2-41-9f3a", "m3xd-9-bbbb"} {
			rec := l.byID[id]
			if rec == nil {
				t.Fatalf("%s is lost in %q", id, data)
			}
		}
		foldLogs(l, time.Time{}, allRules)
	})
}

// No job.toml is read as something it is not, and none can bring the program down.
func FuzzHeader(f *testing.F) {
	h := header{Format: 1, Job: "job-abcdefgh", Procedure: "tap", Title: "A tap", Engine: "Bramble", Settings: map[string]string{"bore": "6 mm"}}
	data, err := h.write()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("format = 1\njob = \"../../etc\"\n[settings]\n"))
	f.Add([]byte("format = 99"))
	f.Add([]byte("format = 1\njob = \"abcd\"\nsettings = [1]"))
	f.Add([]byte("\xef\xbb\xbfformat = 2"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m := newMemory(memJob)
		m.nodes[memJob+"/"+headerName] = &memNode{data: data, state: make([]byteState, len(data))}
		h, err := readHeader(m, memJob)
		if err != nil {
			var folder *FolderError
			if !errors.As(err, &folder) || Plain(err.Error()) != err.Error() {
				t.Fatalf("%q", err)
			}
			return
		}
		if h.Format != headerFormat || strings.ContainsAny(h.Job, "/\\.\x00") || h.Job == "" || Plain(h.Title+h.Engine+h.By) != h.Title+h.Engine+h.By {
			t.Fatalf("%+v", h)
		}
	})
}

func FuzzPlain(f *testing.F) {
	f.Add("\x1b[2J\u202e\xff\x00")
	f.Fuzz(func(t *testing.T, s string) {
		p := Plain(s)
		if !utf8.ValidString(p) || Plain(p) != p {
			t.Fatalf("%q", p)
		}
		for _, r := range p {
			if unicode.IsControl(r) || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
				t.Fatalf("%q", p)
			}
		}
	})
}
