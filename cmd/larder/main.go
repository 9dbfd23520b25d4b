// Larder works out what a beekeeper's colonies lack before winter, what to mix,
// what to haul, and which colony gets how much on which day. See README.md.
package main

import (
	"os"
	_ "time/tzdata" // laptops without zone files still know local days

	"larder/internal/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], cli.System())) }
