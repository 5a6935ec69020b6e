package cli

import (
	"errors"

	_ "fettle/tui"
)

// runBench opens the bench screen, on the job in dir where dir is not empty.
func runBench(env Env, dir string) error {
	return usage(errors.New("the bench screen is not built yet"))
}
