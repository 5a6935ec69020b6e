package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"strings"
	"time"
)

// lineVersion is the version written into every line. A line of a higher
// version is kept and counted, and has no effect on the state.
const lineVersion = 1

// The kinds of entry this version writes and understands.
const (
	KindStart   = "start"   // the job began
	KindTick    = "tick"    // a step is done
	KindSkip    = "skip"    // a step is left out; Text is the reason
	KindRelease = "release" // a hold point is released by By
	KindMeasure = "measure" // a reading; Reading, Value, Unit
	KindNote    = "note"    // a remark; Text
	KindRetract = "retract" // takes back the entries in Retracts
	KindCall    = "call"    // a step called another procedure; Value is the job's id, Text its title
	KindAccept  = "accept"  // counts a line changed by hand; Accepts is its mark
)

// Limits of what a log may hold. They are far above anything a refit writes
// and keep a hostile folder from filling the memory.
const (
	maxLine    = 1 << 20 // bytes of one line
	maxText    = 16 << 10
	maxValue   = 200
	maxName    = 80
	maxCounter = 1 << 50 // largest seq and n: leaves room to count on for ever
	maxTargets = 1000    // ids in replaces or retracts
	maxSaw     = 10_000  // things that a release remembers
)

// Entry is one line of a log. Its strings have lost everything that could act
// on a terminal (see [Plain]); the line on the disk keeps the bytes.
type Entry struct {
	V        int      `json:"v"`
	ID       string   `json:"id"`   // device, seq and four random characters
	Seq      int64    `json:"seq"`  // counts this device's entries in this job
	N        int64    `json:"n"`    // Lamport counter: one more than the highest n its device had seen
	Time     string   `json:"time"` // RFC 3339, by the clock of the device; decides nothing
	By       string   `json:"by"`
	Kind     string   `json:"kind"`
	Step     string   `json:"step,omitempty"`
	Reading  string   `json:"reading,omitempty"`
	Value    string   `json:"value,omitempty"` // as it was typed
	Unit     string   `json:"unit,omitempty"`
	Text     string   `json:"text,omitempty"`
	Replaces []string `json:"replaces,omitempty"` // ids of what this entry stands in for
	Retracts []string `json:"retracts,omitempty"`
	Accepts  string   `json:"accepts,omitempty"`

	About  string            `json:"about,omitempty"`  // id of the entry this one is about
	Seen   []string          `json:"seen,omitempty"`   // what its author had seen and answers for (see gate.go)
	Opens  []string          `json:"opens,omitempty"`  // ids of the steps that it opens again
	Photos []string          `json:"photos,omitempty"` // names of files in the job's photos folder
	Data   map[string]string `json:"data,omitempty"`   // further answers by name, as they were typed

	// Saw is what the author of a release saw: for every step before it how it
	// stood and what was read, and the code's figures (see sight.go).
	Saw map[string]string `json:"saw,omitempty"`

	Met  []string `json:"met,omitempty"`  // ids of the newest entries of others that were new to its device (see lineage.go)
	Prev string   `json:"prev,omitempty"` // sum of this device's entry before
	Sum  string   `json:"sum,omitempty"`
}

// At is the time on the entry, or the zero time where it cannot be read.
func (e *Entry) At() time.Time {
	t, err := time.Parse(time.RFC3339, e.Time)
	if err != nil {
		return time.Time{}
	}
	return t
}

// Device is the device that made the entry.
func (e *Entry) Device() string {
	device, _, _ := strings.Cut(e.ID, "-")
	return device
}

// understood says whether this version knows what the entry means.
func (e *Entry) understood() bool {
	if e.V > lineVersion {
		return false
	}
	switch e.Kind {
	case KindStart, KindTick, KindSkip, KindRelease, KindMeasure, KindNote, KindRetract, KindAccept, KindCall:
		return true
	}
	return judged(e.Kind)
}

// encode makes the line of an entry, without a newline. The sum stands last:
// the first 16 hexadecimal digits of the SHA-256 of every byte before
// `,"sum":"` and a closing brace. It is taken over the bytes as they are
// written, so key order and keys of newer versions do not matter.
func encode(e Entry) ([]byte, error) {
	e.Sum = ""
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(e); err != nil {
		return nil, err
	}
	body := bytes.TrimSuffix(buf.Bytes(), []byte("}\n"))
	line := bytes.Clone(body)
	line = append(line, sumKey...)
	line = append(line, bodySum(body)...)
	line = append(line, `"}`...)
	if len(line) > maxLine {
		return nil, errors.New("the entry is too long")
	}
	return line, nil
}

const (
	sumKey    = `,"sum":"`
	sumDigits = 16
	sumTail   = len(sumKey) + sumDigits + len(`"}`)
)

func bodySum(body []byte) string {
	h := sha256.New()
	h.Write(body)
	h.Write([]byte{'}'})
	return hex.EncodeToString(h.Sum(nil))[:sumDigits]
}

// rawMark names a line that has no good sum: the same digits, over all of it.
func rawMark(line []byte) string {
	sum := sha256.Sum256(line)
	return hex.EncodeToString(sum[:])[:sumDigits]
}

// lineState is what a line turned out to be.
type lineState int

const (
	lineBlank      lineState = iota // nothing but spaces and NULs
	lineGood                        // the sum matches
	lineChanged                     // an entry whose sum is missing or wrong
	lineUnreadable                  // no entry at all
)

// trimLine takes off what editors, file systems and version control put around
// a line: a byte order mark, carriage returns, spaces, NULs.
func trimLine(line []byte) []byte {
	return bytes.Trim(bytes.TrimPrefix(line, []byte("\xef\xbb\xbf")), "\r\x00 \t\n")
}

// decode judges one trimmed line. For a changed line the entry holds what could
// be read and its Sum is the line's mark.
func decode(line []byte) (Entry, lineState) {
	if len(line) == 0 {
		return Entry{}, lineBlank
	}
	var e Entry
	if sumMatches(line) {
		if quickly(line, &e) {
			// as this version writes it
		} else if e = (Entry{}); json.Unmarshal(line, &e) != nil {
			// A newer version may write a known key in another form. Only what
			// is needed to keep and count the line is asked for.
			var bare struct {
				V  int    `json:"v"`
				ID string `json:"id"`
			}
			if json.Unmarshal(line, &bare) != nil || bare.V <= lineVersion {
				return Entry{}, lineUnreadable
			}
			e = Entry{V: bare.V, ID: bare.ID}
		}
		e.Sum = string(line[len(line)-2-sumDigits : len(line)-2])
		if !e.wellFormed() {
			return Entry{}, lineUnreadable
		}
		e.clean()
		return e, lineGood
	}
	if line[0] != '{' || !json.Valid(line) {
		return Entry{}, lineUnreadable
	}
	if json.Unmarshal(line, &e) != nil {
		e = Entry{}
	}
	e.Sum = rawMark(line)
	e.clean()
	return e, lineChanged
}

func sumMatches(line []byte) bool {
	if len(line) <= sumTail {
		return false
	}
	body, tail := line[:len(line)-sumTail], line[len(line)-sumTail:]
	if string(tail[:len(sumKey)]) != sumKey || string(tail[sumTail-2:]) != `"}` {
		return false
	}
	h := sha256.New()
	h.Write(body)
	h.Write([]byte{'}'})
	var digest [sha256.Size]byte
	var digits [sumDigits]byte
	hex.Encode(digits[:], h.Sum(digest[:0])[:sumDigits/2])
	return string(digits[:]) == string(tail[len(sumKey):sumTail-2])
}

// wellFormed refuses a line whose sum is right but whose counters or lists
// could do harm: a counter near its end would leave no number for the next.
func (e *Entry) wellFormed() bool {
	return e.V >= 1 && e.ID != "" && len(e.ID) <= maxName &&
		e.Seq >= 0 && e.Seq <= maxCounter && e.N >= 0 && e.N <= maxCounter &&
		len(e.Replaces) <= maxTargets && len(e.Retracts) <= maxTargets &&
		len(e.Seen) <= maxTargets && len(e.Photos) <= maxTargets && len(e.Data) <= maxTargets &&
		len(e.Opens) <= maxTargets && len(e.Met) <= maxTargets && len(e.Saw) <= maxSaw
}

func (e *Entry) clean() {
	for _, s := range []*string{&e.ID, &e.Time, &e.By, &e.Kind, &e.Step, &e.Reading, &e.Value, &e.Unit, &e.Text, &e.Accepts, &e.Prev, &e.About} {
		*s = Plain(*s)
	}
	for i := range e.Replaces {
		e.Replaces[i] = Plain(e.Replaces[i])
	}
	for _, list := range [][]string{e.Retracts, e.Seen, e.Photos, e.Opens, e.Met} {
		for i := range list {
			list[i] = Plain(list[i])
		}
	}
	plainMap(e.Data)
	plainMap(e.Saw)
}

func plainMap(pairs map[string]string) {
	for name, value := range pairs {
		if plain := Plain(name); plain != name {
			delete(pairs, name)
			name = plain
		}
		pairs[name] = Plain(value)
	}
}

// entryStart is how every line begins; inside a JSON string its quote would
// stand escaped, so it cannot be part of somebody's text.
var entryStart = []byte(`{"v":`)

// eachEntry hands over the entry that a line is, or those inside it.
func eachEntry(line []byte, take func(entry []byte)) {
	if sumMatches(line) {
		take(line)
		return
	}
	salvage(line, take)
}

// salvage finds good entries inside a line that is not one: after a power cut a
// newline may be missing, or junk may stand in front of a line.
func salvage(line []byte, take func(entry []byte)) {
	for {
		start := bytes.Index(line, entryStart)
		if start < 0 {
			return
		}
		line = line[start:]
		// The next start bounds this entry; its end is the first place where
		// the sum fits. A line that was written whole has one such place, so a
		// few tries are enough, and junk cannot ask for more.
		next := bytes.Index(line[1:], entryStart)
		part := line
		if next >= 0 {
			part = line[:next+1]
		}
		for from, tries := 0, 0; tries < 4; tries++ {
			at := bytes.Index(part[from:], []byte(sumKey))
			end := from + at + sumTail
			if at < 0 || end > len(part) {
				break
			}
			if sumMatches(part[:end]) {
				take(part[:end])
				break
			}
			from += at + len(sumKey)
		}
		if next < 0 {
			return
		}
		line = line[next+1:]
	}
}
