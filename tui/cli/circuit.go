package cli

import (
	"fettle/checklist"
	"fettle/checklist/circuit"
	"fettle/checklist/source"
)

// checkText says what is wrong with a text, which is a procedure or a circuit of loss,
// while some answers stand. It is not readable where it is no TOML, or of another
// format.
func checkText(file string, src []byte, name string, given map[string]string) (readable bool, ds source.Diagnostics, cover checklist.Coverage) {
	if circuit.Is(src) {
		c, ds := circuit.Read(file, src)
		return c != nil, ds, cover
	}
	p, ds, cover := checklist.CheckAll(file, src, libraryFor(name), given)
	return p != nil && p.Format != 0 && !ds.Unreadable(), ds, cover
}
