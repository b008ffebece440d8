package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/report"
)

func sizeCmd() *cobra.Command {
	var read bool
	c := codeFlag(jsonFlag(&cobra.Command{
		Use: "size JOB", GroupID: "job", Short: "size every drain and vent, with the reason that governs each",
		Long: `Size every drain and vent of a job. Each line has a run, what it is, the fixture units and
water closets that it carries, its size, and the one reason that governs: the cell of the
table or the one-liner, with its printed place and the layer that it comes from. Where the
load, the role or the size of a run change along it, it has a line for each piece.

A ? marks a place or value from memory. Lengths are not needed for this.

--readings lists instead how every number and fixture of the job was read.`,
		Example: "  trapweir size house.dwv.yaml\n  trapweir size house.dwv.yaml --code BOOK",
		Args:    cobra.ExactArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			if asJSON(cmd) {
				if err := writeJSON(cmd.OutOrStdout(), report.Document(r)); err != nil {
					return err
				}
				return status(r)
			}
			if read {
				report.Readings(cmd.OutOrStdout(), r)
				return nil
			}
			report.Size(cmd.OutOrStdout(), r)
			return nil
		},
	}))
	c.Flags().BoolVar(&read, "readings", false, "list how every number and fixture of the job was read")
	return c
}

func whyCmd() *cobra.Command {
	return codeFlag(jsonFlag(&cobra.Command{
		Use: "why JOB RUN", GroupID: "job", Short: "say everything that was weighed for one run or vent",
		Long: `Say everything that was weighed for one run or vent: what it is and why, what it carries and
from where, the reason that governs and all others, what the table alone would allow, how
much room is left, and what would force a bigger pipe next. Of a fixture's run also its trap,
and every way of venting it that was tried.`,
		Example: "  trapweir why house.dwv.yaml main\n  trapweir why house.dwv.yaml hall bath lav",
		Args:    cobra.MinimumNArgs(2), ValidArgsFunction: nameArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			name := strings.Join(args[1:], " ")
			if !r.Solved() {
				return unsolved(cmd, r)
			}
			if asJSON(cmd) {
				doc, ok := report.WhyDoc(r, name)
				if !ok {
					return noSuch(r, name)
				}
				return writeJSON(cmd.OutOrStdout(), doc)
			}
			if !report.Why(cmd.OutOrStdout(), r, name) {
				return noSuch(r, name)
			}
			return nil
		},
	}))
}

func walkCmd() *cobra.Command {
	return codeFlag(jsonFlag(&cobra.Command{
		Use: "walk JOB [FIXTURE]", GroupID: "job", Short: "follow the water from a fixture (or the farthest one) to the outlet",
		Long: `Follow the water from a fixture (or the farthest one) to the outlet, join by join: what comes
in, the running total, the size, and why it steps up where it does.`,
		Example: "  trapweir walk house.dwv.yaml\n  trapweir walk house.dwv.yaml hall bath lav",
		Args:    cobra.MinimumNArgs(1), ValidArgsFunction: nameArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			name := strings.Join(args[1:], " ")
			if !r.Solved() {
				return unsolved(cmd, r)
			}
			if asJSON(cmd) {
				steps, ok := report.Steps(r, name)
				if !ok {
					return noSuch(r, name)
				}
				return writeJSON(cmd.OutOrStdout(), report.WalkPage{Format: report.Format, Steps: steps})
			}
			if !report.Walk(cmd.OutOrStdout(), r, name) {
				return noSuch(r, name)
			}
			return nil
		},
	}))
}

func checkCmd() *cobra.Command {
	var onSite bool
	c := codeFlag(jsonFlag(&cobra.Command{
		Use: "check JOB", GroupID: "job", Short: "say what is broken and what is not checked (exit 0 clean, 1 findings, 2 could not look)",
		Long: `Say what is broken in a job and what is not checked, each with the question that settles it.
The exit status is 0 for a clean job, 1 where there are findings, 2 where it could not look.

--site lists instead what no job tells and the eye must see: facts of the site, of how the work
is done and of products, those only that this job has cause for. Its exit status is 0.

It computes; it does not approve. Local code and the inspector decide.`,
		Args: cobra.ExactArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			if onSite && r.Solved() {
				if asJSON(cmd) {
					return writeJSON(cmd.OutOrStdout(), report.SiteDoc(r))
				}
				report.Site(cmd.OutOrStdout(), r)
				return nil
			}
			if asJSON(cmd) {
				if err := writeJSON(cmd.OutOrStdout(), report.Document(r)); err != nil {
					return err
				}
			} else {
				report.Check(cmd.OutOrStdout(), r)
			}
			if !r.Solved() {
				return errStatus(exitNoLook)
			}
			if diag.Count(r.Findings, diag.Error)+diag.Count(r.Findings, diag.Warning) > 0 {
				return errStatus(exitFindings)
			}
			return nil
		},
	}))
	c.Flags().BoolVar(&onSite, "site", false, "list what to look at on the site, which no job tells")
	return c
}

// unsolved writes the faults of a job that could not be solved as the result document
// (without --json they have been said already), and gives the status for it.
func unsolved(cmd *cobra.Command, r *engine.Result) error {
	if err := writeJSON(cmd.OutOrStdout(), report.Document(r)); err != nil {
		return err
	}
	return errStatus(exitNoLook)
}

// noSuch names the nearest run or vent for a name that is not in the job.
func noSuch(r *engine.Result, name string) error {
	var all, near []string
	for i := range r.Net.Runs {
		all = append(all, r.Net.Runs[i].Name)
	}
	for i := range r.Net.Vents {
		all = append(all, r.Net.Vents[i].Name)
	}
	low := strings.ToLower(name)
	for _, x := range all {
		if strings.Contains(strings.ToLower(x), low) {
			near = append(near, x)
		}
	}
	try := ""
	if len(near) > 0 {
		try = "it has " + strings.Join(first(near, 12), ", ")
	} else {
		try = orNear(name, all, "it has "+strings.Join(first(all, 12), ", "))
	}
	return fmt.Errorf("the job has no run or vent %q; %s", name, try)
}

// first is at most n of the words, and three dots where there are more.
func first(words []string, n int) []string {
	if len(words) <= n {
		return words
	}
	return append(words[:n:n], "...")
}

// nameArg completes the job file, then the names in it.
func nameArg(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return jobArg(cmd, args, "")
	}
	r, _, err := openJob(cmd, args[0], "")
	if err != nil || r.Net == nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var out []string
	for i := range r.Net.Runs {
		x := &r.Net.Runs[i]
		word := x.Name
		if x.Fixture != network.None {
			word += "\t" + r.Net.Fixtures[x.Fixture].Kind.Name
		}
		out = append(out, word)
	}
	for i := range r.Net.Vents {
		out = append(out, r.Net.Vents[i].Name+"\tvent")
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}
