package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/rogpeppe/go-internal/diff"
	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/propose"
	"trapweir/report"
	"trapweir/shelf"
)

func fixCmd() *cobra.Command {
	var apply, effort string
	var dry bool
	c := &cobra.Command{
		Use: "fix JOB [RUN]", GroupID: "job", Short: "list the ways that would cure each finding, and write one into the job",
		Long: `List the ways that would cure each finding, the cheapest first. Each was tried on the job by
the whole engine: it removes its finding and brings no new fault anywhere. A run, vent or
fixture restricts the list to what is about it. Each says what it takes, why it is legal under
the book of the job, what else becomes another size, and what is still asked. Where no change to
the file cures a finding, the list says what a person must decide.

The order counts everything as feet of pipe, a fitting as two and so on; the listing ends with
the numbers, and --effort FILE takes those of your shop:

  roof opening: 12'
  valve: 10'

--apply NUMBER writes one into the job file; the number is the one that the same command
without --apply shows. Comments and layout stay. With --dry-run it shows what would change.

It computes; it does not approve. Local code and the inspector decide.`,
		Args: cobra.MinimumNArgs(1), ValidArgsFunction: nameArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			if dry && apply == "" {
				return fmt.Errorf("--dry-run shows what --apply would change: write --apply and a number too")
			}
			path := args[0]
			text, err := readFile(cmd, path)
			if err != nil {
				return err
			}
			code := codeOf(cmd)
			d, err := loadData(cmd, path, text, code)
			if err != nil {
				return err
			}
			in := engine.Input{Name: path, Text: text, Code: code}
			r, err := solve(cmd, path, text, code)
			if err != nil {
				return err
			}
			if !r.Solved() {
				return unsolved(cmd, r)
			}
			name := strings.Join(args[1:], " ")
			if name != "" {
				if _, ok := r.Net.Find(name); !ok {
					return noSuch(r, name)
				}
			}
			weighed, err := effortOf(cmd, effort)
			if err != nil {
				return err
			}
			set := propose.For(d, in, r, name, weighed)
			if apply == "" {
				if asJSON(cmd) {
					return writeJSON(cmd.OutOrStdout(), report.FixDocument(set))
				}
				report.Fix(cmd.OutOrStdout(), r, set)
				return nil
			}
			p := set.Find(apply)
			if p == nil {
				if set.Count() == 0 {
					return fmt.Errorf("no proposal %s: the job has none", apply)
				}
				return fmt.Errorf("no proposal %s: write a number from 1 to %d, as `trapweir fix %s` lists them", apply, set.Count(), strings.Join(args, " "))
			}
			if dry {
				if asJSON(cmd) {
					return writeJSON(cmd.OutOrStdout(), p)
				}
				_, err := cmd.OutOrStdout().Write(diff.Diff(path, text, path+" (changed)", p.Text()))
				return err
			}
			if path == "-" {
				return fmt.Errorf("a job from standard input cannot be changed in place: use --dry-run, or name a file")
			}
			if err := replaceFile(path, text, p.Text()); err != nil {
				return err
			}
			if asJSON(cmd) {
				return writeJSON(cmd.OutOrStdout(), p)
			}
			report.Fixed(cmd.OutOrStdout(), path, p, engine.Run(d, engine.Input{Name: path, Text: p.Text(), Code: code}))
			return nil
		},
	}
	c.Flags().StringVar(&apply, "apply", "", "write the proposal with this number (or id) into the job file")
	c.Flags().StringVar(&effort, "effort", "", "put the ways in order by your own file of efforts (data/effort.yaml shows its keys)")
	c.Flags().BoolVar(&dry, "dry-run", false, "with --apply: show what would change and write nothing")
	return codeFlag(jsonFlag(c))
}

// effortOf reads how the parts of a proposal are weighed: the user's file over the program's.
func effortOf(cmd *cobra.Command, file string) (propose.Effort, error) {
	var own []byte
	if file != "" {
		var err error
		if own, err = os.ReadFile(file); err != nil {
			return propose.Effort{}, err
		}
	}
	e, ds := shelf.Effort(file, own)
	if diag.Count(ds, diag.Error) > 0 {
		report.Faults(cmd.ErrOrStderr(), own, ds)
		return e, errStatus(exitNoLook)
	}
	return e, nil
}

// replaceFile puts text in the place of a file that still holds was: it is written beside
// the file, brought to the disk, and renamed over it, so that at every moment the name holds
// a whole job. A link stays a link; its target is replaced.
func replaceFile(path string, was, text []byte) (err error) {
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	info, err := os.Stat(target)
	if err != nil {
		return err
	}
	tmp, err := os.CreateTemp(filepath.Dir(target), "."+filepath.Base(target)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			tmp.Close()
			os.Remove(tmp.Name())
		}
	}()
	if _, err = tmp.Write(text); err != nil {
		return err
	}
	if err = tmp.Chmod(info.Mode().Perm()); err != nil {
		return err
	}
	if err = tmp.Sync(); err != nil {
		return err
	}
	if err = tmp.Close(); err != nil {
		return err
	}
	now, err := os.ReadFile(target)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, was) {
		return fmt.Errorf("%s was changed meanwhile and is left as it is: list the proposals again", path)
	}
	if err = os.Rename(tmp.Name(), target); err != nil {
		return err
	}
	// The rename itself reaches the disk with the folder; not every system can be told so.
	if dir, bad := os.Open(filepath.Dir(target)); bad == nil {
		_ = dir.Sync()
		dir.Close()
	}
	return nil
}
