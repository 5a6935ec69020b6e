package checklist

type document struct{}

type place struct{}

// Read reads a procedure file. The procedure is nil only where the text cannot
// be read as TOML at all; otherwise it holds whatever could be understood, and
// must not be worked with while the diagnostics hold a stop.
func Read(file string, src []byte) (*Procedure, Diagnostics) {
	return nil, Diagnostics{{File: file, Severity: Stop, Rule: "unfinished", Message: "reading procedures is not built yet"}}
}

// CheckValue says what is wrong with a value typed for a setting, or nil.
func (p *Procedure) CheckValue(setting, value string) error { return nil }

// Fill answers the settings with values (setting name to what was typed; a
// setting left out or left empty takes its default) and works out everything.
func (p *Procedure) Fill(values map[string]string) (*Filled, Diagnostics) {
	return p.FillMeasured(values, nil)
}

// FillMeasured is [Procedure.Fill] during a job: readings holds, by setting
// name, the latest reading of every setting that was measured
// ([FilledReading.Sets]). It replaces the value everywhere but in the limits of
// the reading that took it.
func (p *Procedure) FillMeasured(values, readings map[string]string) (*Filled, Diagnostics) {
	return nil, Diagnostics{{Severity: Stop, Rule: "unfinished", Message: "filling is not built yet"}}
}

// Judgement is what is to be said about a reading that was typed.
type Judgement struct {
	OK       bool
	Text     string   // one sentence: the value, and its limits where it is outside
	Severity Severity // "" where OK
	Value    float64  // in the unit of the reading; zero for words
}

// Judge compares a typed reading with its limits. The error says that the text
// is no reading of this unit at all.
func (r FilledReading) Judge(text string) (Judgement, error) {
	return Judgement{}, nil
}
