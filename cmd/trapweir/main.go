// Command trapweir lays out and checks the drains, wastes and vents of a house.
//
// It reads job files, calls the engine, and writes. `trapweir help` lists the commands.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// Exit statuses, a promise: 0 clean, 1 findings, 2 could not look.
const (
	exitClean    = 0
	exitFindings = 1
	exitNoLook   = 2
)

func main() {
	// A command lives for some hundredths of a second; collecting what it read of the books
	// would be a fifth of that.
	debug.SetGCPercent(400)
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// errStatus carries an exit status out of a command that has already said what is wrong.
type errStatus int

func (e errStatus) Error() string { return fmt.Sprintf("exit %d", int(e)) }

// run is main with its world handed in.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot(stdin, stdout, stderr)
	root.SetArgs(args)
	err := root.Execute()
	var st errStatus
	switch {
	case err == nil:
		return exitClean
	case errors.As(err, &st):
		return int(st)
	}
	fmt.Fprintln(stderr, "trapweir:", sayCommand(err, args))
	return exitNoLook
}

func newRoot(stdin io.Reader, stdout, stderr io.Writer) *cobra.Command {
	root := &cobra.Command{
		Use:   "trapweir",
		Short: "lay out, size and check drains, wastes and vents, and say why",
		Long: `Trapweir turns a list of fixtures and a house into a drain, waste and vent system:
every pipe sized from the fixture units that add up, every trap checked for its vent,
every number with its reason and the printed place that it comes from.

A job is one text file, NAME.dwv.yaml: what drains, and what joins what. Make one with  trapweir new,
read its size with  trapweir size JOB,  and ask  trapweir why JOB RUN  of any pipe. JOB may be - for
standard input. docs/job-format.md has every word of the file.

It computes; it does not approve. Local code and the inspector decide.`,
		Version:      version(),
		SilenceUsage: true, SilenceErrors: true,
	}
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	root.AddGroup(&cobra.Group{ID: "job", Title: "Work on a job:"}, &cobra.Group{ID: "look", Title: "Look things up:"})
	for _, c := range commands {
		cmd := c()
		sayArgs(cmd)
		root.AddCommand(cmd)
	}
	root.SetFlagErrorFunc(sayFlag)
	root.SetHelpCommandGroupID("look")
	root.SetCompletionCommandGroupID("look")
	return root
}

// commands lists the subcommands; each stands in a file of its own.
var commands = []func() *cobra.Command{newCmd, sizeCmd, whyCmd, walkCmd, checkCmd, fixCmd, compareCmd, orderCmd, drawCmd, sheetsCmd, fallCmd, booksCmd, rulesCmd, openCmd}
