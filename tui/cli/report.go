package cli

import (
	"io"
	"time"

	"fettle/checklist/job"
)

// headed is the head of every answer in JSON: what it is, and which edition of that.
type headed struct {
	Format string `json:"format"`
}

// head is the head of the answer of that name.
func head(name string) headed { return headed{"fettle." + name + "/1"} }

// items is an answer that is a list.
type items[T any] struct {
	headed
	Items []T `json:"items"`
}

// writeItems prints a list as the answer of that name.
func writeItems[T any](w io.Writer, name string, list []T) error {
	return writeJSON(w, items[T]{head(name), append([]T{}, list...)})
}

// tallyJSON is an opening with what is inside.
type tallyJSON struct {
	Opening string         `json:"opening"`
	Inside  int            `json:"inside"`
	Things  map[string]int `json:"things"`
}

func tallyItems(list []job.Tally) (out []tallyJSON) {
	for _, t := range list {
		out = append(out, tallyJSON{t.Opening, t.Inside, t.Things})
	}
	return out
}

type blankJSON struct {
	Tag   string `json:"tag"`
	Where string `json:"where"`
	State string `json:"state"` // on, off or stays
	By    string `json:"by"`
}

func blankItems(list []job.Blank) (out []blankJSON) {
	for _, b := range list {
		state := "off"
		if b.Stays {
			state = "stays"
		} else if b.Fitted {
			state = "on"
		}
		out = append(out, blankJSON{b.Tag, b.Where, state, b.By})
	}
	return out
}

// sheetJSON is the test sheet. Pressures are gauge.
type sheetJSON struct {
	headed
	Lines   []sheetLineJSON `json:"lines"`
	Target  float64         `json:"target_bar,omitempty"`
	Alarm   float64         `json:"alarm_bar,omitempty"`
	Missing []string        `json:"missing"`
	Checks  []checkJSON     `json:"findings"`
	Tests   []testJSON      `json:"tests"`
}

type sheetLineJSON struct {
	Name  string `json:"name"`
	Value string `json:"value"` // as it was typed
	By    string `json:"by,omitempty"`
}

type checkJSON struct {
	Severity string `json:"severity"`
	Message  string `json:"message"`
}

type testJSON struct {
	Begun    string      `json:"begun"`
	By       string      `json:"by"`
	Open     string      `json:"open,omitempty"`
	Points   []pointJSON `json:"points"`
	Reading  []string    `json:"reading"`
	Result   string      `json:"result"`
	ResultBy string      `json:"result_by,omitempty"`
	Passed   bool        `json:"passed"`
	Stops    []string    `json:"stops"`
	Signed   []signJSON  `json:"signed"`
}

type pointJSON struct {
	At       string   `json:"at"`
	Pressure float64  `json:"pressure_bar"`
	Water    *float64 `json:"water_c,omitempty"`
	Strokes  *float64 `json:"strokes,omitempty"`
}

type signJSON struct {
	Role string `json:"role"`
	By   string `json:"by"`
	At   string `json:"at"`
}

// stamp is a time in JSON, by the workshop's clock; "" for none.
func stamp(j *job.Job, t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return j.Wall().In(t).Format(time.RFC3339)
}

// sheetReport is the test sheet of a job.
func sheetReport(j *job.Job) sheetJSON {
	sheet := j.State().Test
	out := sheetJSON{
		headed: head("job-test"), Lines: []sheetLineJSON{}, Target: sheet.Target.Bar(), Alarm: sheet.Alarm.Bar(),
		Missing: append([]string{}, sheet.Missing...), Checks: []checkJSON{}, Tests: []testJSON{},
	}
	for _, v := range sheet.Values {
		out.Lines = append(out.Lines, sheetLineJSON{v.Name, v.Value, v.By})
	}
	for _, f := range sheet.Checks {
		out.Checks = append(out.Checks, checkJSON{string(f.Severity), f.Message})
	}
	for i := range sheet.Runs {
		run := &sheet.Runs[i]
		test := testJSON{
			Begun: stamp(j, run.At), By: run.By, Open: run.Open, Points: []pointJSON{}, Reading: append([]string{}, run.Reading.Lines()...),
			Result: run.Result, ResultBy: run.Judged.By, Passed: run.Passed, Stops: append([]string{}, run.Stops...), Signed: []signJSON{},
		}
		for _, p := range run.Points {
			point := pointJSON{At: stamp(j, p.At), Pressure: p.Pressure.Bar()}
			if p.WaterKnown {
				c := p.Water.C()
				point.Water = &c
			}
			if p.Pumped {
				point.Strokes = &p.Strokes
			}
			test.Points = append(test.Points, point)
		}
		for _, m := range run.Signed {
			test.Signed = append(test.Signed, signJSON{m.Text, m.By, stamp(j, m.At)})
		}
		out.Tests = append(out.Tests, test)
	}
	return out
}
