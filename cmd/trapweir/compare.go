package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/report"
	"trapweir/shelf"
)

func compareCmd() *cobra.Command {
	return jsonFlag(&cobra.Command{
		Use: "compare JOB [BOOK[+LAYER...]...]", GroupID: "job", Short: "run a job under several books and show where sizes and findings differ",
		Long: `Run a job under several books and show where sizes, venting and findings differ. Without a
BOOK it takes the usual ones; with one, the job's own beside it. A layer of the job that does
not lie over one of the books is left out for that book, and the comparison says so.

BOOK+LAYER takes those layers in place of the job's, BOOK+none takes the book alone, so that one
county stands beside another, or beside none:

  trapweir compare JOB irc-2021+none irc-2021+marlow-county upc-2021+washington`,
		Args: cobra.MinimumNArgs(1),
		ValidArgsFunction: func(cmd *cobra.Command, args []string, s string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return jobArg(cmd, args, s)
			}
			return shelf.IDs(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			text, err := readFile(cmd, args[0])
			if err != nil {
				return err
			}
			own := layerFiles(filepath.Dir(args[0]), text)
			d, ds := shelf.All(own...)
			if diag.Count(ds, diag.Error) > 0 {
				faultsIn(cmd.ErrOrStderr(), own, ds)
				return errStatus(exitNoLook)
			}
			books := make([]basis, 0, 6)
			for _, id := range shelf.Compared() {
				books = append(books, basis{code: id})
			}
			mine := basis{code: shelf.Code(text)}
			if len(args) > 1 {
				books = books[:0]
				if len(args) == 2 {
					books = append(books, mine)
				}
				for _, arg := range args[1:] {
					b, err := basisOf(arg)
					if err != nil {
						return err
					}
					if !slices.ContainsFunc(books, b.same) {
						books = append(books, b)
					}
				}
				if len(args) == 2 && len(books) == 1 {
					return fmt.Errorf("the job is by %s already: name another book to compare it with", mine.code)
				}
			}
			var rs []*engine.Result
			for _, b := range books {
				r := engine.Run(d, engine.Input{Name: args[0], Text: text, Code: b.code, With: b.with, Part: b.with == nil})
				if !r.Solved() {
					faultsIn(cmd.ErrOrStderr(), written(args[0], text), r.Faults)
					if diag.Count(r.Faults, diag.Error) == 0 {
						fmt.Fprintf(cmd.ErrOrStderr(), "%s: the job has no runs yet\n", args[0])
					}
					return errStatus(exitNoLook)
				}
				rs = append(rs, r)
			}
			if asJSON(cmd) {
				return writeJSON(cmd.OutOrStdout(), report.CompareDoc(rs))
			}
			report.Compare(cmd.OutOrStdout(), rs)
			return nil
		},
	})
}

// A basis is what a job is tried under: a book, and the layers over it, nil for the job's.
type basis struct {
	code string
	with []string
}

func (b basis) same(c basis) bool {
	return b.code == c.code && (b.with == nil) == (c.with == nil) && slices.Equal(b.with, c.with)
}

// basisOf reads BOOK, BOOK+LAYER+LAYER or BOOK+none.
func basisOf(arg string) (basis, error) {
	code, rest, more := strings.Cut(arg, "+")
	b := basis{code: code}
	if !more {
		return b, nil
	}
	b.with = []string{}
	for _, s := range strings.Split(rest, "+") {
		switch s = strings.TrimSpace(s); {
		case s == "":
			return b, fmt.Errorf("%s: a layer is missing behind +: write %s+none for the book alone, or the id of a layer", arg, code)
		case s == "none" && rest == "none":
		default:
			b.with = append(b.with, s)
		}
	}
	return b, nil
}
