package cli

import (
	"fettle/checklist"
	"fettle/checklist/circuit"
	"fettle/checklist/source"
)

// checkText says what is wrong with a text, which is a procedure or a circuit of loss.
// It is not readable where it is no TOML, or of a newer format.
func checkText(file string, src []byte, name string) (readable bool, ds source.Diagnostics) {
	if circuit.Is(src) {
		c, ds := circuit.Read(file, src)
		return c != nil, ds
	}
	p, ds := checklist.Check(file, src, libraryFor(name))
	return p != nil && p.Format != 0, ds
}
