package job

import (
	"fmt"
	"hash/maphash"
	"path/filepath"
	"slices"
	"sort"
	"strings"
)

// LineState is what a line of a log turned out to be.
type LineState string

// The states of a line. Only good lines, and complete ones that lack their
// newline, count.
const (
	Good         LineState = "good"
	Again        LineState = "again"        // good, and in the record already
	Newer        LineState = "newer"        // good, made by a newer version
	Changed      LineState = "changed"      // an entry whose sum is missing or wrong
	Accepted     LineState = "accepted"     // changed, and accepted since
	Unterminated LineState = "unterminated" // good, the last line, its newline missing
	Unfinished   LineState = "unfinished"   // the last line, cut off
	Unreadable   LineState = "unreadable"   // no entry
	TooLong      LineState = "too long"     // longer than a line can be
)

// LineReport is one line of a log.
type LineReport struct {
	Line  int // from 1
	State LineState
	ID    string // of the entry, where it can be told
	Mark  string // of a changed line: what accepts it
	Says  string // of a line that is not good
	// Salvaged counts good entries found inside a line that is none.
	Salvaged int
	// PutBack says that the entry was added again after later ones: the log had
	// gone back to an older state and was healed.
	PutBack bool
}

// FileReport is one log.
type FileReport struct {
	Name  string
	Twin  bool // this device's own copy, outside the folder
	Lines []LineReport
	Err   string // why it could not be read to its end
}

// Count counts the lines in a state.
func (f FileReport) Count(state LineState) int {
	n := 0
	for _, line := range f.Lines {
		if line.State == state {
			n++
		}
	}
	return n
}

// Verification is the record gone through line by line.
type Verification struct {
	Files   []FileReport
	Entries int      // different good entries
	Gaps    []string // entries that others speak of and that are not here
	Doubles []string // names that two different entries carry
	Edits   []string // lines changed by hand whose original is still there
	Skipped []string // files that were not read, with the reason
	Healed  int      // entries just added to the folder that only this device had
	Only    int      // entries that still are on this device only
	Why     string   // why they are
	Edited  []string // files that are not what the job started with
	Jumps   []Jump   // clocks that went back, or far ahead
	// Strangers are devices that this one has never met, with what they wrote.
	Strangers []Stranger
	Called    []CalledVerification
}

// CalledVerification is a called job gone through line by line.
type CalledVerification struct {
	Dir     string
	Title   string
	Problem string // why it cannot be gone through; empty where it can
	*Verification
}

// Fine says that there is nothing to tell.
func (v *Verification) Fine() bool {
	for _, jump := range v.Jumps {
		if jump.Back {
			return false
		}
	}
	if len(v.Gaps)+len(v.Doubles)+len(v.Edits)+len(v.Skipped)+len(v.Edited)+v.Healed+v.Only > 0 {
		return false
	}
	for _, c := range v.Called {
		if c.Problem != "" || !c.Fine() {
			return false
		}
	}
	for _, f := range v.Files {
		for _, line := range f.Lines {
			if line.State != Good && line.State != Again && line.State != Unterminated && line.State != Accepted || line.PutBack {
				return false
			}
		}
		if f.Err != "" {
			return false
		}
	}
	return true
}

// Verify goes through every line of every log, after adding to the folder what
// only this device had.
func (j *Job) Verify() (*Verification, error) {
	v := &Verification{Edited: j.edited}
	var why error
	v.Healed, why = j.writer.heal()
	if why != nil {
		v.Healed, v.Why = 0, "the job folder "+reason(why)
	}
	if _, err := j.reread(); err != nil {
		return nil, err
	}
	v.Called = j.verifyCalled()
	w := j.writer
	w.mu.Lock()
	defer w.mu.Unlock()
	if v.Only = len(w.missing()); v.Only == 0 {
		v.Why = ""
	}
	f := j.view().fold
	v.Entries = len(w.logs.all)
	v.Doubles = f.doubles
	_, left, err := photos(j.env.files(), j.dir)
	if err != nil {
		left = []string{passedOver(photosName, err)}
	}
	v.Skipped = slices.Concat(w.logs.skipped, j.calledNotices, left)
	v.Gaps = gaps(w.logs)
	v.Jumps = f.times.jumps
	v.Strangers = j.strangers(f)
	for _, line := range f.edited {
		v.Edits = append(v.Edits, fmt.Sprintf("%s line %d: %s now says \"%s\"; the original counts", Plain(line.file), line.line, line.ID, line.says()))
	}
	pending := map[string]bool{}
	for _, line := range slices.Concat(f.changed, f.edited) {
		pending[line.Sum] = true
	}
	seen := map[key]bool{}
	for _, path := range sortedKeys(w.logs.read) {
		if path != w.logs.twin {
			v.Files = append(v.Files, verifyFile(w.logs, path, seen, pending))
		}
	}
	if w.logs.read[w.logs.twin] != nil {
		// The twin is the same entries once more, by design.
		v.Files = append(v.Files, verifyFile(w.logs, w.logs.twin, map[key]bool{}, pending))
	}
	return v, nil
}

// verifyFile goes through one log. seen holds the entries met so far.
func verifyFile(l *logs, path string, seen map[key]bool, pending map[string]bool) FileReport {
	report := FileReport{Name: Plain(filepath.Base(path)), Twin: path == l.twin}
	f, err := l.files.Open(path)
	if err == nil {
		defer f.Close()
		highest := map[string]int64{}
		var unused maphash.Hash
		number := 0
		err = scan(f, l.read[path].size, &unused, func(raw []byte, _ int, ended, tooLong bool) {
			number++
			line := judge(trimLine(raw), ended, tooLong)
			if line.State == "" {
				return
			}
			line.Line = number
			if e, state := decode(trimLine(raw)); state == lineGood {
				if seen[e.key()] && line.State == Good {
					line.State = Again
				}
				line.PutBack = line.State == Good && e.Seq < highest[e.Device()] && !report.Twin
				seen[e.key()] = true
				highest[e.Device()] = max(highest[e.Device()], e.Seq)
			}
			if line.State == Changed && !pending[line.Mark] {
				line.State = Accepted
			}
			report.Lines = append(report.Lines, line)
		})
	}
	if err != nil {
		report.Err = Plain(err.Error())
	}
	return report
}

// judge says what one line is; its state is empty for a blank one.
func judge(line []byte, ended, tooLong bool) LineReport {
	if tooLong {
		return LineReport{State: TooLong}
	}
	e, state := decode(line)
	switch {
	case state == lineBlank:
		return LineReport{}
	case state == lineGood && !ended:
		return LineReport{State: Unterminated, ID: e.ID}
	case state == lineGood && !e.understood():
		return LineReport{State: Newer, ID: e.ID}
	case state == lineGood:
		return LineReport{State: Good, ID: e.ID}
	}
	report := LineReport{State: Unreadable}
	salvage(line, func([]byte) { report.Salvaged++ })
	if state == lineChanged && report.Salvaged == 0 {
		return LineReport{State: Changed, ID: e.ID, Mark: e.Sum, Says: e.says()}
	}
	if !ended {
		report.State = Unfinished
	}
	const shown = 60
	report.Says = Plain(string(line[:min(len(line), shown)]))
	return report
}

// numberGaps lists the numbers that are left out in the count of a device: entries
// that were made and are not here.
func numberGaps(l *logs) (list []string) {
	numbers := map[string][]int64{}
	for _, rec := range l.all {
		numbers[rec.Device()] = append(numbers[rec.Device()], rec.Seq)
	}
	for _, device := range sortedKeys(numbers) {
		seqs := numbers[device]
		if !slices.IsSorted(seqs) {
			slices.Sort(seqs)
		}
		next := int64(1)
		for _, seq := range seqs {
			switch {
			case seq == next+1:
				list = append(list, fmt.Sprintf("entry %d of device %s is not here", next, device))
			case seq > next:
				list = append(list, fmt.Sprintf("entries %d to %d of device %s are not here", next, seq-1, device))
			}
			next = max(next, seq+1)
		}
	}
	return list
}

// gaps lists entries that must have been made and are not here: numbers left
// out in a device's count, and entries whose predecessor is another one.
func gaps(l *logs) []string {
	list := numberGaps(l)
	sums := make(map[string]bool, len(l.all))
	present := map[string]bool{}
	for _, rec := range l.all {
		sums[rec.Sum] = true
		present[fmt.Sprint(rec.Device(), " ", rec.Seq)] = true
	}
	var broken []string
	for _, rec := range l.all {
		if rec.Prev != "" && !sums[rec.Prev] && present[fmt.Sprint(rec.Device(), " ", rec.Seq-1)] {
			broken = append(broken, fmt.Sprintf("entry %s follows another entry than the one that is here", rec.ID))
		}
	}
	sort.Strings(broken)
	return append(list, broken...)
}

// Accept makes a line count that was changed by hand. mark is what Verify and
// the notices show for it. Where the original is still there it counts, and
// there is nothing to accept.
func (j *Job) Accept(mark string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		f := j.view().fold
		byMark := func(line changedLine) bool { return line.Sum == mark }
		if i := slices.IndexFunc(f.edited, byMark); i >= 0 {
			return Entry{}, fmt.Errorf("the original of entry %s is still there and counts: make a new entry instead", f.edited[i].ID)
		}
		i := slices.IndexFunc(f.changed, byMark)
		if i < 0 {
			return Entry{}, fmt.Errorf("no changed line has the mark %s (\"fettle job verify\" shows them)", Plain(mark))
		}
		line := f.changed[i]
		if !line.acceptable() {
			return Entry{}, fmt.Errorf("the changed line %s is no whole entry (it needs v, id, kind): make a new entry instead", mark)
		}
		return Entry{Kind: KindAccept, By: by, Step: line.Step, Accepts: mark, Text: strings.TrimSpace(line.says())}, nil
	})
}
