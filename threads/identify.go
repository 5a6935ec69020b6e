package threads

import (
	"errors"

	"fettle/threads/quantity"
)

// Measurement is what was measured on an unknown thread.
type Measurement struct {
	Major    quantity.Length // over the crests of a screw; 0 = not measured
	Minor    quantity.Length // bore of a hole over its crests; 0 = not measured
	Pitch    quantity.Length // 0 = not measured
	Internal bool            // a hole
}

// Candidate is a thread that fits a measurement.
type Candidate struct {
	Thread Thread
}

// Identify lists the threads that fit a measurement, best first.
func Identify(m Measurement) ([]Candidate, error) {
	return nil, errors.New("not built yet")
}
