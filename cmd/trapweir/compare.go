package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/codebook"
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

  trapweir compare JOB BOOK+none BOOK+COUNTY OTHER-BOOK+COUNTY

Their ids are in the list that trapweir books prints.`,
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
			mine := shelf.Code(text)
			if len(args) > 1 {
				books = books[:0]
				if len(args) == 2 {
					books = append(books, basis{code: mine})
				}
				for _, arg := range args[1:] {
					b, err := basisOf(arg)
					if err != nil {
						return err
					}
					books = append(books, b)
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
				if !slices.ContainsFunc(rs, func(x *engine.Result) bool { return sameBasis(x, r) }) {
					rs = append(rs, r)
				}
			}
			if len(args) > 1 && len(rs) == 1 {
				if len(args) == 2 {
					return fmt.Errorf("the job is by %s already: name another book to compare it with", mine)
				}
				return fmt.Errorf("that is %s each time: name another book to compare it with", rs[0].Book.ID())
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

// sameBasis reports whether two results are by one book with the same layers over it.
func sameBasis(a, b *engine.Result) bool {
	return slices.EqualFunc(a.Book.Layers(), b.Book.Layers(), func(x, y codebook.Layer) bool { return x.ID == y.ID })
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
		case s == "none" && rest != "none":
			return b, fmt.Errorf("%s: none stands for no layer: write %s+none, or the ids of layers without it", arg, code)
		case s == "none":
		default:
			b.with = append(b.with, s)
		}
	}
	return b, nil
}
