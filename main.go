// Fettle is a bench companion for refitting the boiler fittings of miniature
// steam locomotives. The command line and the bench screen live in tui.
package main

import (
	"os"

	"fettle/tui/cli"
)

func main() {
	os.Exit(cli.Run(os.Args[1:], cli.System()))
}
