// Command cases prints how much of what the practice cases expect comes out of the engine.
//
//	go run ./internal/cases/cmd/cases [-v] [folder ...]
//
// Without a folder it takes testdata/cases. Run it at the root of the repository.
package main

import (
	"flag"
	"fmt"
	"os"

	"trapweir/internal/cases"
)

func main() {
	every := flag.Bool("v", false, "show every entry, and what else was said")
	flag.Parse()
	dirs := flag.Args()
	if len(dirs) == 0 {
		dirs = []string{"testdata/cases"}
	}
	for _, dir := range dirs {
		if err := run(dir, *every); err != nil {
			fmt.Fprintln(os.Stderr, "cases:", err)
			os.Exit(1)
		}
	}
}

func run(dir string, every bool) error {
	s, err := cases.Load(dir)
	if err != nil {
		return err
	}
	reports, score := s.All(cases.Run)
	return cases.Write(os.Stdout, reports, score, every)
}
