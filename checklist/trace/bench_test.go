package trace_test

import (
	"testing"

	"fettle/checklist/trace"
)

// The next test, all causes and pairs weighed anew: from nothing known, where the walk
// with its twelve places is the dearest, and half-way. At most 10 ms.
func BenchmarkNext(b *testing.B) {
	m := model(b, "dome", "open")
	for name, answers := range map[string][]trace.Answer{
		"first":   nil,
		"halfway": {{Test: "round", Saw: trace.No, Wet: []string{"overflow"}}, {Test: "grate-paper", Saw: trace.No}, {Test: "stop-valve", Saw: trace.No}},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if len(m.Search(trace.Now{}, answers).Next()) == 0 {
					b.Fatal("nothing is proposed")
				}
			}
		})
	}
}
